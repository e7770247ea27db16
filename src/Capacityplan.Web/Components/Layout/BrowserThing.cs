using Microsoft.JSInterop;

namespace Capacityplan.Web.Components.Layout;

/// <summary>Lets go of what a component holds in the browser.</summary>
internal static class BrowserThing
{
    /// <summary>
    /// Makes the last calls to something in the browser without waiting for them. A browser that is just leaving may never
    /// answer, and a component that waited for it would hold up the end of its circuit, and with it the stopping of the server,
    /// until the call times out.
    /// </summary>
    /// <param name="thing">What is let go; nothing is done where null.</param>
    /// <param name="calledBack">What the browser calls back until then; disposed of once it cannot any more.</param>
    /// <param name="lastCall">What is to be called before; nothing where null.</param>
    /// <param name="arguments">What it is called with.</param>
    public static void LetGo(this IJSObjectReference? thing, IDisposable? calledBack = null, string? lastCall = null, params object?[] arguments)
    {
        if (thing is not null)
            _ = LetGoAsync(thing, calledBack, lastCall, arguments);
        else
            calledBack?.Dispose();
    }

    private static async Task LetGoAsync(IJSObjectReference thing, IDisposable? calledBack, string? lastCall, object?[] arguments)
    {
        try
        {
            if (lastCall is not null)
                await thing.InvokeVoidAsync(lastCall, arguments);
            await thing.DisposeAsync();
        }
        catch (Exception gone) when (gone is JSDisconnectedException or OperationCanceledException or ObjectDisposedException)
        {
            // The page has gone, and took it along.
        }
        finally
        {
            calledBack?.Dispose();
        }
    }
}
