using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;

namespace Capacityplan.Web.Components.Layout;

/// <summary>Keeps <see cref="ThemeState"/> at what the browser shows. The content waits until the theme is known, so that
/// nothing is drawn in the one theme and at once again in the other.</summary>
public sealed partial class ThemeFollower(IJSRuntime js, ThemeState theme) : IDisposable
{
    private IJSObjectReference? _module;
    private IJSObjectReference? _subscription;
    private DotNetObjectReference<ThemeFollower>? _self;
    private bool _known;

    [Parameter, EditorRequired]
    public required RenderFragment ChildContent { get; set; }

    /// <summary>Called by the browser when its theme changes.</summary>
    [JSInvokable]
    public void Follow(bool isDark) => theme.Set(isDark);

    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!firstRender)
            return;

        _self = DotNetObjectReference.Create(this);
        _module = await js.InvokeAsync<IJSObjectReference>("import", "./Components/Layout/ThemeFollower.razor.js");
        _subscription = await _module.InvokeAsync<IJSObjectReference>("follow", _self);
        theme.Set(await _module.InvokeAsync<bool>("isDark"));
        _known = true;
        StateHasChanged();
    }

    public void Dispose()
    {
        _subscription.LetGo(_self, "stop");
        _module.LetGo();
    }
}
