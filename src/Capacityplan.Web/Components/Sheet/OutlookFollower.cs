using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Sheet;

/// <summary>A part of the sheet that shows what could change. It draws itself anew as that comes in, and not the whole sheet.</summary>
public abstract class OutlookFollower : ComponentBase, IDisposable
{
    private OutlookSession? _followed;

    /// <summary>The plan worked on.</summary>
    [CascadingParameter]
    public PlanSession Session { get; set; } = default!;

    /// <summary>What could change its answer.</summary>
    [CascadingParameter]
    public OutlookSession Outlook { get; set; } = default!;

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
        if (_followed == Outlook)
            return;
        _followed?.Changed -= Follow;
        _followed = Outlook;
        _followed.Changed += Follow;
    }

    private void Follow() => _ = InvokeAsync(() =>
    {
        if (_followed is not null)
            StateHasChanged();
    });
}
