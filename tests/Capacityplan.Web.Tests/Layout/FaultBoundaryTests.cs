using Bunit;
using Capacityplan.Web.Components.Layout;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Rendering;

namespace Capacityplan.Web.Tests.Layout;

public sealed class FaultBoundaryTests : BunitContext
{
    private readonly BunitJSModuleInterop _frame;

    public FaultBoundaryTests()
    {
        _frame = JSInterop.SetupModule("./js/frame.js");
        _frame.Mode = JSRuntimeMode.Loose;
    }

    [Fact]
    public void Fault_InAPart_IsToldInPlainWordsAndNeverAsATrace()
    {
        IRenderedComponent<FaultBoundary> boundary = RenderFaulty();

        boundary.Find("button").Click();

        string words = boundary.Find("[role=alert]").TextContent;
        Assert.Contains("Something went wrong on our side, and this chart stopped.", words, StringComparison.Ordinal);
        Assert.DoesNotContain("the inner workings", boundary.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("Exception", boundary.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void Fault_InAPart_AsksForWhatWasTypedOnce()
    {
        IRenderedComponent<FaultBoundary> boundary = RenderFaulty();

        boundary.Find("button").Click();
        boundary.Render();

        _frame.VerifyInvoke("showTyped", calledTimes: 1);
    }

    [Fact]
    public void Part_ShownAgain_IsThere()
    {
        IRenderedComponent<FaultBoundary> boundary = RenderFaulty();
        boundary.Find("button").Click();

        boundary.Find("[role=alert] button").Click();

        Assert.Equal("Fails", boundary.Find("button").TextContent);
        Assert.Empty(boundary.FindAll("[role=alert]"));
    }

    private IRenderedComponent<FaultBoundary> RenderFaulty() => Render<FaultBoundary>(parameters => parameters
        .Add(boundary => boundary.Part, "this chart")
        .AddChildContent<Faulty>());

    private sealed class Faulty : ComponentBase
    {
        protected override void BuildRenderTree(RenderTreeBuilder builder)
        {
            builder.OpenElement(0, "button");
            builder.AddAttribute(1, "onclick", EventCallback.Factory.Create(this, Fail));
            builder.AddContent(2, "Fails");
            builder.CloseElement();
        }

        private static void Fail() => throw new InvalidOperationException("the inner workings");
    }
}
