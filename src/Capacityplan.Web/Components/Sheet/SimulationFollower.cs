using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Sheet;

/// <summary>
/// A part of the sheet that shows what is simulated. It draws itself anew as runs come in, so that the rest of the sheet,
/// which does not show them, need not.
/// </summary>
public abstract class SimulationFollower : ComponentBase, IDisposable
{
    private SimulationSession? _followed;
    private int _due;

    /// <summary>The plan worked on.</summary>
    [CascadingParameter]
    public PlanSession Session { get; set; } = default!;

    /// <summary>Its simulation.</summary>
    [CascadingParameter]
    public SimulationSession Simulation { get; set; } = default!;

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
        if (_followed == Simulation)
            return;
        _followed?.Changed -= Follow;
        _followed = Simulation;
        _followed.Changed += Follow;
    }

    /// <summary>Runs that come in while the page is busy are drawn together.</summary>
    private void Follow()
    {
        if (Interlocked.Exchange(ref _due, 1) == 0)
            _ = InvokeAsync(Draw);
    }

    private void Draw()
    {
        Interlocked.Exchange(ref _due, 0);
        if (_followed is not null)
            StateHasChanged();
    }
}
