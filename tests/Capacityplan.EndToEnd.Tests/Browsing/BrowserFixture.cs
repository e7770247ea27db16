using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;

[assembly: AssemblyFixture(typeof(BrowserFixture))]

namespace Capacityplan.EndToEnd.Tests.Browsing;

/// <summary>One browser for all tests; each test opens pages of its own in it, which share nothing.</summary>
public sealed class BrowserFixture : IAsyncLifetime
{
    /// <summary>How long a page may take, in milliseconds, for what it is waited for: far more than it needs, since the
    /// machine may be busy with something else.</summary>
    internal const int PatienceMilliseconds = 60_000;

    private IPlaywright? _playwright;

    /// <summary>The browser.</summary>
    public IBrowser Browser { get; private set; } = null!;

    /// <inheritdoc/>
    public async ValueTask InitializeAsync()
    {
        string program = Chromium.Find();
        Assertions.SetDefaultExpectTimeout(PatienceMilliseconds);
        _playwright = await Playwright.CreateAsync();
        Browser = await _playwright.Chromium.LaunchAsync(new() { ExecutablePath = program, Args = Chromium.Arguments });
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (Browser is not null)
            await Browser.DisposeAsync();
        _playwright?.Dispose();
    }
}
