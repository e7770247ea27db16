namespace Capacityplan.Storage.Tests;

/// <summary>A clock that stands still until it is moved on.</summary>
internal sealed class SettableClock : TimeProvider
{
    public DateTimeOffset Now { get; set; } = new(2026, 11, 3, 21, 14, 0, TimeSpan.Zero);

    public override DateTimeOffset GetUtcNow() => Now;
}
