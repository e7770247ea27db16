using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;

namespace Capacityplan.Web.Components.Layout;

/// <summary>Keeps a fault inside one part of a page: says so in plain words in its place, and leaves everything outside as
/// it was. The part's components are gone by then, so the texts people typed into them are given back to be copied; better
/// still to put one around each drawing or result, and leave the fields outside.</summary>
/// <remarks>Catches what the components inside throw. A handler belongs to the component whose markup it stands in, so a
/// page's own handlers are caught by the boundary around the page.</remarks>
public sealed partial class FaultBoundary(ILogger<FaultBoundary> logger, IJSRuntime js)
{
    private string _reference = "";
    private ElementReference _typed;
    private bool _typedShown;

    /// <summary>What stopped, as the sentence needs it: "this chart".</summary>
    [Parameter, EditorRequired]
    public required string Part { get; set; }

    protected override Task OnErrorAsync(Exception exception)
    {
        // The browser has gone while a call to it was on its way: nobody is left to tell, and nothing is wrong.
        if (exception is JSDisconnectedException)
            return Task.CompletedTask;

        _reference = Guid.NewGuid().ToString("N")[..8];
        _typedShown = false;
        LogFault(logger, _reference, Part, exception);
        return Task.CompletedTask;
    }

    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (CurrentException is null || _typedShown)
            return;

        _typedShown = true;
        await using IJSObjectReference frame = await js.InvokeAsync<IJSObjectReference>("import", "./js/frame.js");
        await frame.InvokeVoidAsync("showTyped", _typed);
    }

    [LoggerMessage(Level = LogLevel.Error, Message = "{Reference}: {Part} stopped.")]
    private static partial void LogFault(ILogger logger, string reference, string part, Exception exception);
}
