using System.Text.Json;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Components.Charts;
using Bar = Plotly.Blazor.Traces.Bar;
using Scatter = Plotly.Blazor.Traces.Scatter;

namespace Capacityplan.Web.Tests.Charts;

/// <summary>What holds of all charts of the pool, for jobs and pools at the edges.</summary>
public sealed class SimulatedChartsTests
{
    public static TheoryData<string, int> JobsAndPools()
    {
        var data = new TheoryData<string, int>();
        foreach (string job in SimulatedRuns.Names)
        {
            foreach (int workers in (int[])[1, 2, 7, 300])
                data.Add(job, workers);
        }

        data.Add("usual", RunPicture.MostWorkers);
        return data;
    }

    [Theory]
    [MemberData(nameof(JobsAndPools))]
    public void Charts_OfAnyJob_AreSoundAndCanBeDrawn(string name, int workers)
    {
        SimulatedPlace place = SimulatedRuns.Place(workers, workers > 1 ? 0.6 : 1, speed: 1.25, name: "Heron-16");

        foreach (ChartModel chart in SimulatedRuns.Charts(SimulatedRuns.Job(name), place))
        {
            ChartSoundness.AssertSound(chart);
            foreach (int width in (int[])[358, 1100])
            {
                foreach (ChartColours colours in (ChartColours[])[ChartColours.Light, ChartColours.Dark])
                    AssertDrawn(chart, colours, width);
            }
        }
    }

    [Theory]
    [InlineData(358)]
    [InlineData(1100)]
    public void Texts_StandInside(int width)
    {
        foreach (ChartModel chart in SimulatedRuns.Charts(SimulatedRuns.Usual, SimulatedRuns.Place(16)))
        {
            Assert.All(PlotlyDrawing.Draw(chart, ChartColours.Light, width).Texts, text =>
            {
                var box = Box.OfText(text.X, text.Y, text.Text, text.Side);
                Assert.True(box.Left >= -1 && box.Right <= width + 3, $"{chart.Name}: '{text.Text}' is cut off: {box} of {width}.");
            });
        }
    }

    [Fact]
    public void Samples_OfAnyKind_AreSoundAndCanBeDrawn()
    {
        var random = new Random(20_261_125);
        double[][] samples =
        [
            [1], [1, 1], [0, 1], [0, 0, 0, 1e-9], [1, 2, 3], [.. Enumerable.Repeat(0.29, 50)], [1e-12, 1e9],
            [.. Enumerable.Range(0, 400).Select(_ => -Math.Log(random.NextDouble()))],
            [.. Enumerable.Range(0, 400).Select(_ => random.NextDouble())],
            [.. Enumerable.Range(0, 400).Select(_ => (double)random.Next(6))],
            [.. Enumerable.Range(0, 400).Select(_ => 1e-6 * Math.Pow(random.NextDouble(), -1.5))],
        ];
        foreach (double[] sample in samples)
        {
            foreach (ChartModel chart in SampleChartsTests.Charts(new SampleSizes(sample)))
            {
                ChartSoundness.AssertSound(chart);
                foreach (int width in (int[])[358, 1100])
                {
                    AssertDrawn(chart, ChartColours.Light, width);
                    AssertDrawn(chart, ChartColours.Dark, width);
                }
            }
        }
    }

    private static void AssertDrawn(ChartModel chart, ChartColours colours, int width)
    {
        PlotlyFigure figure = PlotlyDrawing.Draw(chart, colours, width);
        Assert.Equal(width, figure.Layout.Width);
        // Of a run that takes no time nothing is drawn.
        Assert.True(figure.Traces.Count > 0 || chart is { Name: "run-picture", Stretches.Count: 0 }, chart.Name);
        foreach (IList<object>? numbers in figure.Traces.SelectMany(trace => trace switch
        {
            Scatter scatter => (IList<object>?[])[scatter.X, scatter.Y],
            Bar bar => [bar.X, bar.Y, bar.BaseArray],
            _ => throw new InvalidOperationException($"No test for a {trace.GetType()}."),
        }))
        {
            Assert.NotEmpty(numbers!);
            Assert.DoesNotContain(null, numbers!);
            // The script is sent JSON, which has no word for what is not a number.
            Assert.NotEmpty(JsonSerializer.Serialize(numbers));
        }

        Assert.NotEmpty(JsonSerializer.Serialize(figure.Layout.Shapes.SelectMany(shape => (object[])[shape.X0, shape.X1, shape.Y0, shape.Y1])));
        Assert.All(figure.Layout.XAxis[0].Range.Concat(figure.Layout.YAxis[0].Range), end => Assert.True(double.IsFinite((double)end)));
        Assert.All(figure.Texts, text => Assert.True(double.IsFinite(text.X) && double.IsFinite(text.Y), text.Text));
    }
}
