using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Night;

/// <summary>A part of the sheet that shows the plans of the night; it draws itself anew as they are looked up.</summary>
public abstract class NightFollower : ComponentBase, IDisposable
{
    private NightSession? _followed;

    /// <summary>The plan worked on.</summary>
    [CascadingParameter]
    public PlanSession Session { get; set; } = default!;

    /// <summary>The plans of its night.</summary>
    [CascadingParameter]
    public NightSession Night { get; set; } = default!;

    /// <inheritdoc/>
    public void Dispose()
    {
        _followed?.Changed -= Follow;
        _followed = null;
        GC.SuppressFinalize(this);
    }

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        if (_followed == Night)
            return;
        _followed?.Changed -= Follow;
        _followed = Night;
        _followed.Changed += Follow;
    }

    private void Follow() => _ = InvokeAsync(() =>
    {
        if (_followed is not null)
            StateHasChanged();
    });
}
