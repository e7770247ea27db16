using AngleSharp.Dom;
using Bunit;
using Bunit.TestDoubles;
using Capacityplan.Web.Components.Layout;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Layout;

public sealed class BarNavTests : BunitContext
{
    [Theory]
    [InlineData("", null, null)]
    [InlineData("plans", "Plans", "page")]
    [InlineData("plans/", "Plans", "page")]
    [InlineData("machines?sort=cores", "Machines", "page")]
    [InlineData("methods#greedy-bound", "Methods", "page")]
    [InlineData("plans/7f3a", "Plans", "true")]
    [InlineData("planships", null, null)]
    public void Link_OfWhereThisPageBelongs_IsTheOnlyCurrentOne(string address, string? name, string? current)
    {
        Services.GetRequiredService<BunitNavigationManager>().NavigateTo(address);

        IRenderedComponent<BarNav> nav = Render<BarNav>();

        IElement? marked = nav.FindAll("a[aria-current]").SingleOrDefault();
        Assert.Equal(name, marked?.TextContent);
        Assert.Equal(current, marked?.GetAttribute("aria-current"));
    }

    [Fact]
    public void Link_AfterGoingToAnotherPage_Follows()
    {
        BunitNavigationManager navigation = Services.GetRequiredService<BunitNavigationManager>();
        navigation.NavigateTo("plans");
        IRenderedComponent<BarNav> nav = Render<BarNav>();

        navigation.NavigateTo("methods");

        nav.WaitForAssertion(() => Assert.Equal("Methods", nav.Find("a[aria-current]").TextContent));
    }
}
