using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;
using Plotly.Blazor;

namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// The plotting component, which may be taken away while its script is still on its way: the connection has gone then, or
/// the server is stopping, and there is nothing left to clear away. Without this, the sheet around it would count as broken.
/// </summary>
public sealed class DrawnPlot : PlotlyChart, IAsyncDisposable
{
    /// <summary>The charts' own script.</summary>
    [Parameter, EditorRequired]
    public IJSObjectReference? Script { get; set; }

    /// <summary>Draws another figure in its place at once: sent now, it is drawn before the rest of the page has been told of
    /// the change, and not a round trip after it.</summary>
    /// <param name="figure">The figure.</param>
    public Task DrawAsync(PlotlyFigure figure)
    {
        (Data, Layout) = (figure.Traces, figure.Layout);
        return SendAsync("draw", figure);
    }

    /// <summary>Moves what is drawn to another figure at once, where that differs only in places; else it is left as it is. One that
    /// stays is drawn after it.</summary>
    /// <param name="figure">The figure.</param>
    public Task MoveAsync(PlotlyFigure figure) => SendAsync("moveTo", figure);

    private async Task SendAsync(string function, PlotlyFigure figure)
    {
        try
        {
            await Script!.InvokeVoidAsync(function, Id, FigureJson.Write(figure.Traces, figure.Layout));
        }
        catch (Exception exception) when (HasNobody(exception))
        {
            // Nobody is left to draw for.
        }
    }

    /// <inheritdoc/>
    async ValueTask IAsyncDisposable.DisposeAsync()
    {
        try
        {
            await DisposeAsync();
        }
        catch (Exception exception) when (HasNobody(exception))
        {
            // Nobody is left to draw for.
        }
    }

    private static bool HasNobody(Exception exception) =>
        exception is JSDisconnectedException or OperationCanceledException or ObjectDisposedException;
}
