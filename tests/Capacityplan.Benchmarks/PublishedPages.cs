using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;

namespace Capacityplan.Benchmarks;

/// <summary>A published build and a browser that opens its pages as a person at a desk has them.</summary>
internal sealed class PublishedPages : IAsyncDisposable
{
    /// <summary>
    /// When the browser shows what has just been put on the page is what it says itself of an element put there together with it.
    /// Defines <c>whenShown(name)</c>, a promise of that time.
    /// </summary>
    public const string WhenShown =
        """
        const whenShown = name => new Promise(resolve => {
          const mark = document.createElement('p');
          mark.textContent = '.';
          mark.setAttribute('elementtiming', name);
          mark.style.cssText = 'position: fixed; left: 0; top: 0; margin: 0;';
          const frames = new PerformanceObserver(list => {
            const [shown] = list.getEntries().filter(entry => entry.identifier === `${name}`);
            if (!shown) return;
            frames.disconnect();
            mark.remove();
            resolve(shown.renderTime);
          });
          frames.observe({ type: 'element' });
          document.body.append(mark);
        });
        """;

    private readonly PublishedServer _server;
    private readonly IPlaywright _playwright;
    private readonly IBrowser _browser;

    private PublishedPages(PublishedServer server, IPlaywright playwright, IBrowser browser) =>
        (_server, _playwright, _browser) = (server, playwright, browser);

    /// <summary>Starts both.</summary>
    /// <param name="folder">A published build; one is published where null.</param>
    public static async Task<PublishedPages> StartAsync(string? folder)
    {
        PublishedServer server = await PublishedServer.StartAsync(folder ?? await PublishedServer.PublishAsync());
        IPlaywright playwright = await Playwright.CreateAsync();
        return new PublishedPages(
            server, playwright, await playwright.Chromium.LaunchAsync(new() { ExecutablePath = Chromium.Find(), Args = Chromium.Arguments }));
    }

    /// <summary>Opens one of its pages in a tab of its own.</summary>
    /// <param name="path">Relative to the build's address; empty for the plan it opens with.</param>
    public async Task<IPage> OpenAsync(string path = "")
    {
        IPage page = await _browser.NewPageAsync(new() { ViewportSize = new() { Width = 1440, Height = 900 } });
        await page.GotoAsync(new Uri(_server.Address, path).ToString());
        return page;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _browser.DisposeAsync();
        _playwright.Dispose();
        await _server.DisposeAsync();
    }
}
