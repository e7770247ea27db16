namespace Capacityplan.Web.Tests.Layout;

public sealed class ThemeStateTests
{
    [Fact]
    public void Subscription_OnceDisposed_IsNotCalled()
    {
        ThemeState theme = new();
        int kept = 0, left = 0;
        using IDisposable staying = theme.Subscribe(() => kept++);
        IDisposable leaving = theme.Subscribe(() => left++);

        theme.Set(isDark: true);
        leaving.Dispose();
        theme.Set(isDark: false);

        Assert.Equal((2, 1), (kept, left));
    }
}
