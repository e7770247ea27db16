using Bunit;
using Capacityplan.Web.Components.Layout;

namespace Capacityplan.Web.Tests.Layout;

public sealed class ArrivalFocusTests : BunitContext
{
    private readonly BunitJSModuleInterop _frame;

    public ArrivalFocusTests()
    {
        _frame = JSInterop.SetupModule("./js/frame.js");
        _frame.Mode = JSRuntimeMode.Loose;
    }

    [Fact]
    public void Focus_OnTheFirstPage_StaysAtTheTop()
    {
        Arrive(typeof(string));

        _frame.VerifyNotInvoke("focusHeading");
    }

    [Fact]
    public void Focus_OnEachFurtherPage_GoesToItsHeadingOnce()
    {
        IRenderedComponent<ArrivalFocus> arrival = Arrive(typeof(string));

        arrival.Render(parameters => parameters.Add(focus => focus.Page, typeof(int)));
        arrival.Render(parameters => parameters.Add(focus => focus.Page, typeof(int)));

        _frame.VerifyInvoke("focusHeading", calledTimes: 1);
    }

    private IRenderedComponent<ArrivalFocus> Arrive(Type page) =>
        Render<ArrivalFocus>(parameters => parameters.Add(focus => focus.Page, page));
}
