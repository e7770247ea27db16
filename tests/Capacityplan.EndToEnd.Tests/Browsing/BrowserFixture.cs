using Capacityplan.EndToEnd.Tests.Browsing;
using Capacityplan.EndToEnd.Tests.Serving;
using Microsoft.Playwright;

[assembly: AssemblyFixture(typeof(BrowserFixture))]

namespace Capacityplan.EndToEnd.Tests.Browsing;

/// <summary>One browser for all tests, in which each opens pages of its own that share nothing, and one server for those that
/// need none of their own.</summary>
public sealed class BrowserFixture : IAsyncLifetime
{
    /// <summary>How long a page may take, in milliseconds, for what it is waited for: far more than it needs, since the
    /// machine may be busy with something else.</summary>
    internal const int PatienceMilliseconds = 60_000;

    private readonly string _dataDirectory = Directory.CreateTempSubdirectory("capacityplan-e2e-").FullName;
    private readonly Lazy<Task<RunningApp>> _shared;
    private IPlaywright? _playwright;

    /// <summary>Nothing is started before it is asked for.</summary>
    public BrowserFixture() => _shared = new(() => RunningApp.StartAsync(_dataDirectory));

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

    /// <summary>The server that tests share.</summary>
    internal Task<RunningApp> SharedServerAsync() => _shared.Value;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (Browser is not null)
            await Browser.DisposeAsync();
        _playwright?.Dispose();
        if (_shared.IsValueCreated)
        {
            RunningApp shared = await _shared.Value;
            await shared.DisposeAsync();
            Assert.True(shared.Errors.Count == 0, string.Join('\n', shared.Errors));
        }

        Directory.Delete(_dataDirectory, recursive: true);
    }
}
