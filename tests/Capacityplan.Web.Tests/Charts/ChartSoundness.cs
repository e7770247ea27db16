using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>What holds of every chart, whatever is drawn.</summary>
internal static class ChartSoundness
{
    /// <summary>Finite figures inside their axes, words for those who do not see it, and a table with a cell for each column.</summary>
    public static void AssertSound(ChartModel chart)
    {
        Assert.NotEmpty(chart.Title);
        Assert.NotEmpty(chart.Subtitle);
        Assert.NotEmpty(chart.TextAlternative);
        Assert.All((string[])[chart.Title, chart.Subtitle, chart.TextAlternative, .. chart.Readouts.Select(readout => readout.Text), .. chart.Stretches.Select(stretch => stretch.Text)], AssertWritten);
        Assert.NotEmpty(chart.Table.Rows);
        Assert.All(chart.Table.Rows, row =>
        {
            Assert.Equal(chart.Table.Columns.Count, row.Cells.Count);
            Assert.All(row.Cells, AssertWritten);
        });
        AssertAxis(chart.X);
        AssertAxis(chart.Y);

        (double X, double Y)[] points =
        [
            .. chart.Band.SelectMany(point => ((double, double)[])[(point.X, point.Low), (point.X, point.High)]),
            .. chart.Areas.SelectMany(area => area.Points).SelectMany(point => ((double, double)[])[(point.X, point.Low), (point.X, point.High)]),
            .. chart.Columns.SelectMany(column => ((double, double)[])[(column.From, column.Height), (column.To, 0)]),
            .. chart.Lines.SelectMany(line => line.Points).Select(point => (point.X, point.Y)),
            .. chart.Measured.Concat(chart.Quantiles).Select(point => (point.X, point.Y)),
            .. chart.Readouts.Select(readout => (readout.X, readout.Y)),
            .. chart.Notes.Select(note => (note.Point.X, note.Point.Y)),
            .. chart.Chosen is { } chosen ? [(chosen.Point.X, chosen.Point.Y)] : Array.Empty<(double, double)>(),
        ];
        Assert.All(points, point => Assert.True(
            IsOn(chart.X, point.X) && IsOn(chart.Y, point.Y), $"{chart.Name}: {point} outside {chart.X.Low} to {chart.X.High}, {chart.Y.Low} to {chart.Y.High}."));
        Assert.All(chart.Uprights, upright => Assert.True(IsOn(chart.X, upright.X), $"{chart.Name}: {upright} outside the axis."));
        Assert.All(chart.Stretches, stretch => Assert.True(IsOn(chart.Y, stretch.Row), $"{chart.Name}: row {stretch.Row} outside the axis."));
        if (chart.Zone is { } zone)
            Assert.True(IsOn(chart.X, zone.From) && IsOn(chart.X, zone.To) && zone.From < zone.To);
    }

    private static void AssertAxis(ChartAxis axis)
    {
        Assert.True(double.IsFinite(axis.Low) && double.IsFinite(axis.High) && axis.Low != axis.High, $"From {axis.Low} to {axis.High}.");
        if (axis.Scale == AxisScale.Logarithmic)
            Assert.True(axis.Low > 0);
        Assert.All(axis.Ticks, tick =>
        {
            Assert.True(IsOn(axis, tick.Value), $"A tick at {tick.Value}, off {axis.Low} to {axis.High}.");
            AssertWritten(tick.Label);
            Assert.False(tick.Label.StartsWith("-0", StringComparison.Ordinal) && !tick.Label.Contains('.', StringComparison.Ordinal), tick.Label);
        });
        Assert.InRange(axis.Ticks.Count, 0, 64);
    }

    private static bool IsOn(ChartAxis axis, double value) => axis.Position(value) is >= -1e-9 and <= 1 + 1e-9;

    private static void AssertWritten(string text)
    {
        Assert.NotEmpty(text);
        Assert.DoesNotContain("NaN", text, StringComparison.Ordinal);
        Assert.DoesNotContain("∞", text, StringComparison.Ordinal);
        Assert.DoesNotContain("Infinity", text, StringComparison.Ordinal);
    }
}
