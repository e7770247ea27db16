using Bunit;
using Capacityplan.Web.Components.Layout;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Layout;

public sealed class ThemeFollowerTests : BunitContext
{
    private const string ModulePath = "./Components/Layout/ThemeFollower.razor.js";

    private readonly BunitJSModuleInterop _module;
    private readonly JSRuntimeInvocationHandler<bool> _isDark;

    public ThemeFollowerTests()
    {
        Services.AddScoped<ThemeState>();
        _module = JSInterop.SetupModule(ModulePath);
        _module.Mode = JSRuntimeMode.Loose;
        _isDark = _module.Setup<bool>("isDark");
    }

    private ThemeState Theme => Services.GetRequiredService<ThemeState>();

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Content_UntilTheBrowserHasSaidItsTheme_Waits(bool isDark)
    {
        SetRendererInfo(new RendererInfo("Server", isInteractive: true));
        IRenderedComponent<ThemeFollower> follower = Follow();
        Assert.Equal("", follower.Markup);

        _isDark.SetResult(isDark);

        follower.WaitForAssertion(() => follower.MarkupMatches("<p>content</p>"));
        Assert.Equal(isDark, Theme.IsDark);
    }

    [Fact]
    public void Content_OnAPageWithoutACircuit_DoesNotWait()
    {
        SetRendererInfo(new RendererInfo("Static", isInteractive: false));

        Follow().MarkupMatches("<p>content</p>");
    }

    [Fact]
    public async Task Theme_WhenTheBrowserChangesIt_ReachesTheSubscribers()
    {
        SetRendererInfo(new RendererInfo("Server", isInteractive: true));
        _isDark.SetResult(false);
        IRenderedComponent<ThemeFollower> follower = Follow();
        List<bool> heard = [];
        using IDisposable subscription = Theme.Subscribe(() => heard.Add(Theme.IsDark));

        // What the module calls when the button was pressed or the system's preference changed.
        await follower.InvokeAsync(() => follower.Instance.Follow(isDark: true));
        await follower.InvokeAsync(() => follower.Instance.Follow(isDark: true));
        await follower.InvokeAsync(() => follower.Instance.Follow(isDark: false));

        Assert.Equal([true, false], heard);
    }

    [Fact]
    public void Toggle_InTheBar_NamesBothThemesForTheStyleSheetToChooseFrom()
    {
        IRenderedComponent<ThemeToggle> toggle = Render<ThemeToggle>();

        toggle.MarkupMatches(
            """<button type="button" class="btn bare theme" data-theme-toggle><span class="to-dark">Dark</span><span class="to-light">Light</span></button>""");
    }

    private IRenderedComponent<ThemeFollower> Follow() =>
        Render<ThemeFollower>(parameters => parameters.AddChildContent("<p>content</p>"));
}
