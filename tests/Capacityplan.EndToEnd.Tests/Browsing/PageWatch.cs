using System.Collections.Concurrent;
using System.Text.RegularExpressions;
using Microsoft.Playwright;

namespace Capacityplan.EndToEnd.Tests.Browsing;

/// <summary>
/// Listens to everything a page's browser complains about: console errors and warnings, uncaught exceptions, dialogs,
/// violations of the content security policy, requests that failed or were refused, and requests to any other host.
/// </summary>
internal sealed partial class PageWatch
{
    private const string ReportViolations =
        "addEventListener('securitypolicyviolation', e => console.error(`policy: ${e.violatedDirective} forbids ${e.blockedURI}`))";

    private readonly ConcurrentQueue<string> _complaints = new();
    private readonly List<string> _foreseen = [];
    private readonly IPage _page;
    private readonly Uri _host;

    private PageWatch(IPage page, Uri host)
    {
        _page = page;
        _host = host;
        page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning")
                _complaints.Enqueue($"console {message.Type}: {message.Text} ({message.Location})");
        };
        page.PageError += (_, error) => _complaints.Enqueue($"uncaught: {error}");
        page.Dialog += (_, dialog) =>
        {
            _complaints.Enqueue($"dialog: {dialog.Message}");
            _ = dialog.DismissAsync();
        };
        page.Crash += (_, _) => _complaints.Enqueue("the page crashed");
        page.Request += (_, request) => NoteAddress(request.Url);
        page.WebSocket += (_, socket) => NoteAddress(socket.Url);
        page.RequestFailed += (_, request) => _complaints.Enqueue($"failed request: {request.Method} {request.Url}: {request.Failure}");
        page.Response += (_, response) =>
        {
            if (response.Status >= 400)
                _complaints.Enqueue($"status {response.Status}: {response.Request.Method} {response.Url}");
        };
    }

    /// <summary>Starts listening, before the page has loaded anything.</summary>
    public static async Task<PageWatch> OverAsync(IPage page, Uri host)
    {
        var watch = new PageWatch(page, host);
        await page.AddInitScriptAsync(ReportViolations);
        return watch;
    }

    /// <summary>Lets complaints that hold this text pass: the test causes them.</summary>
    public void Foresee(string part) => _foreseen.Add(part);

    /// <summary>What was complained about, and any stack trace the page shows.</summary>
    public async Task<IReadOnlyList<string>> ComplaintsAsync()
    {
        string text = _page.IsClosed ? "" : await _page.InnerTextAsync("body");
        IEnumerable<string> traces = StackFrame().Matches(text).Select(frame => $"stack trace on the page: {frame.Value}");
        return [.. _complaints.Where(complaint => !_foreseen.Exists(part => complaint.Contains(part, StringComparison.Ordinal))), .. traces];
    }

    private void NoteAddress(string address)
    {
        if (address.StartsWith("data:", StringComparison.Ordinal) || address.StartsWith("blob:", StringComparison.Ordinal))
            return;
        if (new Uri(address).Authority != _host.Authority)
            _complaints.Enqueue($"request to another host: {address}");
    }

    [GeneratedRegex(@"^\s*at \S+\(.*\).*$|\b\w+Exception\b", RegexOptions.Multiline)]
    private static partial Regex StackFrame();
}
