using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;

namespace Capacityplan.Web.Components.Layout;

/// <summary>Moves the focus to a page's heading when it is reached by a link, so that it is read out and the next Tab goes on
/// from there. The first page keeps the browser's own start at the top, where the skip link is.</summary>
public sealed class ArrivalFocus(IJSRuntime js) : ComponentBase
{
    private Type? _shown;
    private bool _arrived;

    /// <summary>The page being shown.</summary>
    [Parameter, EditorRequired]
    public required Type Page { get; set; }

    protected override void OnParametersSet()
    {
        _arrived = _shown is not null && _shown != Page;
        _shown = Page;
    }

    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!_arrived)
            return;

        _arrived = false;
        await using IJSObjectReference frame = await js.InvokeAsync<IJSObjectReference>("import", "./js/frame.js");
        await frame.InvokeVoidAsync("focusHeading");
    }
}
