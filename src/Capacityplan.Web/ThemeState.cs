namespace Capacityplan.Web;

/// <summary>Whether this browser shows the dark theme. The browser decides (its user's choice, else the system's
/// preference); what is drawn by the server, such as a chart's colours, follows from here. One for each circuit.</summary>
public sealed class ThemeState
{
    private event Action? Changed;

    /// <summary>True while the dark theme is shown. Light until the browser has said.</summary>
    public bool IsDark { get; private set; }

    /// <summary>Takes what the browser reports, and tells the subscribers if it differs.</summary>
    public void Set(bool isDark)
    {
        if (IsDark == isDark)
            return;

        IsDark = isDark;
        Changed?.Invoke();
    }

    /// <summary>Calls <paramref name="whenChanged"/> after each change, on the circuit's own dispatcher, until the result
    /// is disposed.</summary>
    public IDisposable Subscribe(Action whenChanged)
    {
        Changed += whenChanged;
        return new Subscription(this, whenChanged);
    }

    private sealed class Subscription(ThemeState theme, Action whenChanged) : IDisposable
    {
        public void Dispose() => theme.Changed -= whenChanged;
    }
}
