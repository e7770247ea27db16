using Microsoft.JSInterop;
using Plotly.Blazor;

namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// The plotting component, which may be taken away while its script is still on its way: the connection has gone then, or
/// the server is stopping, and there is nothing left to clear away. Without this, the sheet around it would count as broken.
/// </summary>
public sealed class DrawnPlot : PlotlyChart, IAsyncDisposable
{
    /// <inheritdoc/>
    async ValueTask IAsyncDisposable.DisposeAsync()
    {
        try
        {
            await DisposeAsync();
        }
        catch (Exception exception) when (exception is JSDisconnectedException or OperationCanceledException or ObjectDisposedException)
        {
            // Nobody is left to draw for.
        }
    }
}
