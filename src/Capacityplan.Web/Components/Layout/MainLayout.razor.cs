using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Layout;

/// <summary>The frame with what an interactive page may call on: dialogs, messages, tooltips, and a boundary that keeps a
/// fault in a page from taking the frame with it.</summary>
public sealed partial class MainLayout : IDisposable
{
    private FaultBoundary? _boundary;
    private IDisposable? _subscription;

    [Inject]
    private ThemeState Theme { get; set; } = default!;

    protected override void OnInitialized() =>
        _subscription = Theme.Subscribe(() => _ = InvokeAsync(StateHasChanged));

    // A fault belongs to the page it happened on.
    protected override void OnParametersSet() => _boundary?.Recover();

    public void Dispose() => _subscription?.Dispose();
}
