namespace Capacityplan.Web.Components.Charts;

/// <summary>A picture that may be shown before its words are there.</summary>
/// <param name="Build">Its model, asked for where the chart is in view.</param>
/// <param name="IsWhole">True where it stays; false where it is coarse: a drawing then only moves to it, where it can.</param>
public sealed record ChartGlimpse(Func<ChartModel> Build, bool IsWhole);
