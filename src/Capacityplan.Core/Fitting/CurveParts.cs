namespace Capacityplan.Core.Fitting;

/// <summary>
/// What one curve's time at a core count consists of, seconds, in the terms a what-if changes: T = even + waiting + overhead.
/// </summary>
/// <param name="EvenSeconds">T1/p: the work shared out evenly, the span's own work in it.</param>
/// <param name="WaitingSeconds">What the span keeps cores waiting besides; 0 on one core, and T_inf on endlessly many.</param>
/// <param name="OverheadSeconds">Forks, joins, steals, and workers in each other's way, at memory too.</param>
public readonly record struct CurveParts(double EvenSeconds, double WaitingSeconds, double OverheadSeconds)
{
    /// <summary>The curve's time, seconds.</summary>
    public double Seconds => EvenSeconds + WaitingSeconds + OverheadSeconds;

    /// <summary>The parts of a time of which is known what it consists of here and on one core.</summary>
    /// <param name="parts">At the core count; in any unit.</param>
    /// <param name="one">On one core; in the same unit.</param>
    /// <param name="cores">p; 1 or more.</param>
    /// <param name="seconds">The time at the core count, seconds, which the parts are brought to.</param>
    internal static CurveParts Of(RunTimeParts parts, RunTimeParts one, double cores, double seconds)
    {
        double scale = seconds / parts.TotalSeconds;
        double spanOnOne = (one.SpanSeconds + one.SerialSeconds) / cores;
        double waiting = parts.SpanSeconds + parts.SerialSeconds - spanOnOne;
        return new CurveParts(
            scale * (parts.WorkSeconds + spanOnOne + Math.Min(0, waiting)), scale * Math.Max(0, waiting),
            scale * (parts.OverheadSeconds + parts.ContentionSeconds + parts.BandwidthSeconds));
    }
}
