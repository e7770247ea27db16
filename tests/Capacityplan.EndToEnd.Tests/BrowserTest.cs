using Capacityplan.EndToEnd.Tests.Browsing;
using Capacityplan.EndToEnd.Tests.Serving;
using Microsoft.Playwright;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>
/// A test in a real browser against the real program, with pages of its own and a fresh copy of the demo's plan. All share one
/// server, since starting one costs more than most tests; those that restart it, break its store or look at its first start
/// have one of their own. When a test ends, no page may have complained about anything and its own server may not have
/// logged an error; what the shared one logged fails the run at its end.
/// </summary>
public abstract class BrowserTest(BrowserFixture fixture) : IAsyncLifetime
{
    private readonly string _dataDirectory = Directory.CreateTempSubdirectory("capacityplan-e2e-").FullName;
    private readonly List<(IPage Page, PageWatch Watch)> _pages = [];
    private readonly List<string> _foreseenErrors = [];
    private readonly List<string> _complaints = [];
    private RunningApp? _app;
    private Uri? _shared;

    /// <summary>A desk's screen.</summary>
    protected static ViewportSize Desk => new() { Width = 1440, Height = 900 };

    /// <summary>A phone's.</summary>
    protected static ViewportSize Phone => new() { Width = 390, Height = 844 };

    /// <summary>True where the tests need a server of their own, with fresh data in it.</summary>
    protected virtual bool HasOwnServer => false;

    /// <summary>False where a test looks at what a person is shown of a fault; elsewhere the console tells all there is to know of it.</summary>
    protected virtual bool TellsFaults => true;

    /// <summary>Where the test's own server keeps its data.</summary>
    protected string DataDirectory => _dataDirectory;

    /// <summary>The server's address.</summary>
    protected Uri Address => _shared ?? _app!.Address;

    /// <inheritdoc/>
    public async ValueTask InitializeAsync()
    {
        if (HasOwnServer)
            _app = await RunningApp.StartAsync(_dataDirectory, tellsFaults: TellsFaults);
        else
            _shared = (await fixture.SharedServerAsync()).Address;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await CloseAsync();
        Directory.Delete(_dataDirectory, recursive: true);
        GC.SuppressFinalize(this);
        Assert.True(_complaints.Count == 0, string.Join('\n', _complaints));
    }

    /// <summary>Opens a page in a browser profile of its own.</summary>
    /// <param name="path">Below the server's address.</param>
    /// <param name="viewport">Its size; a desk's screen where null.</param>
    /// <param name="theme">The theme the system prefers.</param>
    protected async Task<IPage> OpenAsync(string path = "", ViewportSize? viewport = null, ColorScheme theme = ColorScheme.Light)
    {
        IBrowserContext context = await fixture.Browser.NewContextAsync(new()
        {
            BaseURL = Address.ToString(),
            ViewportSize = viewport ?? Desk,
            ColorScheme = theme,
            ReducedMotion = ReducedMotion.Reduce,
        });
        context.SetDefaultTimeout(BrowserFixture.PatienceMilliseconds);
        IPage page = await context.NewPageAsync();
        _pages.Add((page, await PageWatch.OverAsync(page, Address)));
        await page.GotoAsync(path);
        return page;
    }

    /// <summary>Opens the demo's plan, or a copy of it where the server is shared, and waits for its answer.</summary>
    protected async Task<PlanSheet> OpenDemoAsync(ViewportSize? viewport = null, ColorScheme theme = ColorScheme.Light)
    {
        string path = HasOwnServer ? "" : $"plans/{await (await fixture.SharedServerAsync()).AddDemoPlanAsync()}";
        var sheet = new PlanSheet(await OpenAsync(path, viewport, theme));
        await sheet.ExpectStateAsync("Holds");
        return sheet;
    }

    /// <summary>Ends the pages and the server, and starts the server again on the same data.</summary>
    protected async Task RestartAsync()
    {
        await CloseAsync();
        _app = await RunningApp.StartAsync(_dataDirectory, tellsFaults: TellsFaults);
    }

    /// <summary>Ends the server under the pages that are open, and starts it again at the same address on the same data.</summary>
    protected async Task RestartUnderOpenPagesAsync()
    {
        int port = Address.Port;
        await StopServerAsync();
        _app = await RunningApp.StartAsync(_dataDirectory, port, TellsFaults);
    }

    /// <summary>Lets a page's complaints that hold this text pass: the test causes them.</summary>
    protected void Foresee(IPage page, string part) => _pages.Single(opened => opened.Page == page).Watch.Foresee(part);

    /// <summary>Lets the server's errors that hold this text pass: the test causes them.</summary>
    protected void ForeseeServerError(string part) => _foreseenErrors.Add(part);

    private async Task CloseAsync()
    {
        foreach ((IPage page, PageWatch watch) in _pages)
        {
            _complaints.AddRange(await watch.ComplaintsAsync());
            await page.Context.CloseAsync();
        }

        _pages.Clear();
        await StopServerAsync();
    }

    private async Task StopServerAsync()
    {
        if (_app is not { } app)
            return;
        await app.DisposeAsync();
        _complaints.AddRange(app.Errors.Where(error => !_foreseenErrors.Exists(part => error.Contains(part, StringComparison.Ordinal))));
        _app = null;
    }
}
