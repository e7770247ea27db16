using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Stealing;
using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class RunPictureChartTests
{
    public static TheoryData<string, int> Runs() => new()
    {
        { "usual", 1 }, { "usual", 8 }, { "usual", 300 }, { "zero-length phase", 8 }, { "serial", 3 }, { "heavy tail", 64 },
    };

    [Theory]
    [MemberData(nameof(Runs))]
    public void Stretches_LieInsideTheRunAndApart(string job, int workers)
    {
        (ChartModel chart, RunPicture picture) = Build(SimulatedRuns.Job(job), workers);

        Assert.NotEmpty(chart.Stretches);
        Assert.All(chart.Stretches, stretch => Assert.True(stretch.From >= 0 && stretch.To > stretch.From && stretch.To <= chart.X.High * (1 + 1e-12), $"{stretch}"));
        foreach (IGrouping<int, RowStretch> row in chart.Stretches.GroupBy(stretch => stretch.Row))
        {
            Assert.InRange(row.Key, 0, picture.Rows.Count - 1);
            double end = 0;
            foreach (RowStretch stretch in row.OrderBy(stretch => stretch.From))
            {
                Assert.True(stretch.From >= end - 1e-12 * chart.X.High, $"Row {row.Key}: {stretch} begins before {end}.");
                end = stretch.To;
            }
        }

        // What is drawn is all there is but waiting.
        double drawn = chart.Stretches.Sum(stretch => stretch.To - stretch.From) / chart.X.High * picture.Run.MakespanSeconds;
        double busy = picture.Segments
            .Where(segment => segment.Activity is RunActivity.Running or RunActivity.Serial or RunActivity.Stealing or RunActivity.Mixed).Sum(segment => segment.Seconds);
        Assert.Equal(busy, drawn, 1e-9 * busy);
    }

    [Fact]
    public void Rows_AreWorkersFromTheTop()
    {
        (ChartModel chart, RunPicture picture) = Build(SimulatedRuns.Usual, 300);

        Assert.Equal(64, picture.Rows.Count);
        Assert.True(chart.Y.Low > chart.Y.High);
        Assert.All(chart.Y.Ticks, tick => Assert.Equal(Figures.Count(picture.Rows[(int)tick.Value]), tick.Label));
        Assert.Equal("0", chart.Y.Ticks[0].Label);
        Assert.StartsWith("64 of 300 workers, those that ended a phase among them, against time, milliseconds: ", chart.Subtitle, StringComparison.Ordinal);
        Assert.InRange(chart.Height, 300, 560);
    }

    [Theory]
    [InlineData(1, "1 worker", "The one worker against time, ")]
    [InlineData(8, "8 workers", "All 8 workers against time, ")]
    [InlineData(8, "Heron-8", "All 8 workers of Heron-8 against time, ")]
    public void Subtitle_SaysWhoseWorkers(int workers, string name, string subtitle)
    {
        RunPicture picture = RunPicture.Of(SimulatedRuns.Usual, new WorkerPool(workers), 1, 0);
        Assert.StartsWith(subtitle, RunPictureChart.Build(picture, SimulatedRuns.Place(workers, name: name)).Subtitle, StringComparison.Ordinal);
    }

    [Fact]
    public void Table_HasTheTimesOfEveryRow_AtTheMachinesSpeed()
    {
        (ChartModel chart, RunPicture picture) = Build(SimulatedRuns.Usual, 8, speed: 2);

        Assert.Equal(
            picture.Rows.Select(worker => picture.WorkerTimes[worker]).Select(time => (
                Figures.Time(time.Work / 2), Figures.Time(time.Overhead / 2), Figures.Time(time.Stealing / 2), Figures.Time((time.Idle + time.Waking) / 2),
                Figures.Time(time.Serial / 2), Figures.Time(time.Waiting / 2))),
            chart.Table.Rows.Select(row => (row.Cells[1], row.Cells[2], row.Cells[3], row.Cells[4], row.Cells[5], row.Cells[6])));
        Assert.Equal(picture.Run.MakespanSeconds / 2, chart.X.High * AxisTicks.SizeOf(picture.Run.MakespanSeconds / 2), 1e-12);
    }

    [Fact]
    public void Texts_SayTheTimesOfTheMachineToo()
    {
        (ChartModel chart, _) = Build(new JobStructure([new SerialPhase("read", 8), new ParallelPhase("grid", 200, new ConstantSizes(1))]), 8, speed: 2);

        Assert.Contains(chart.Stretches, stretch => stretch.Text == "worker 0, read: the serial phase, 4.0\u00A0s");
        Assert.Contains("read 4.0\u00A0s, grid 13\u00A0s.", chart.TextAlternative, StringComparison.Ordinal);
    }

    [Fact]
    public void Window_OfAPart_IsItsShareOfTheRun()
    {
        RunPicture picture = RunPicture.Of(SimulatedRuns.Usual, new WorkerPool(8), 1, 0);
        SimulatedPlace place = SimulatedRuns.Place(8);
        ChartModel whole = RunPictureChart.Build(picture, place), part = RunPictureChart.Build(picture, place, 0.25, 0.5);

        Assert.Equal((0.25 * whole.X.High, 0.5 * whole.X.High), (part.X.Low, part.X.High));
        Assert.Equal(whole.Stretches, part.Stretches);
        Assert.Equal(3, whole.Uprights.Count);
        Assert.Equal(whole.Uprights.Where(upright => upright.X > part.X.Low && upright.X < part.X.High), part.Uprights);
        Assert.True(whole.ZoomsAlongX);
    }

    [Fact]
    public void Title_OfStragglers_SaysForHowLong()
    {
        // Of eight units one takes a second, the others next to nothing.
        var job = new JobStructure([new ParallelPhase("grid", 8, new SampleSizes([1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1]))]);
        RunPicture picture = Enumerable.Range(0, 50).Select(replicate => RunPicture.Of(job, new WorkerPool(8), 1, replicate)).First(one => Math.Round(one.Run.UsefulSeconds) == 1);

        Assert.Equal("Stragglers: for the last 2.0\u00A0s of grid fewer than half the workers have work", RunPictureChart.Build(picture, SimulatedRuns.Place(8, speed: 0.5)).Title);
    }

    [Fact]
    public void Title_OfLateWorkers_SaysWhenHalfAreAtWork()
    {
        var costs = new SchedulingCosts { WakeSeconds = 5 };
        (ChartModel chart, _) = Build(new JobStructure([new ParallelPhase("grid", 4_096, new ConstantSizes(0.01), 1, costs)]), 8);

        Assert.StartsWith("A slow start: grid takes ", chart.Title, StringComparison.Ordinal);
    }

    [Fact]
    public void Title_OfALongJoin_NamesIt()
    {
        var costs = new SchedulingCosts { CombineSecondsPerUnit = 0.01 };
        (ChartModel chart, _) = Build(new JobStructure([new ParallelPhase("grid", 256, new ConstantSizes(0.01), 1, costs)]), 8);

        Assert.StartsWith("The last joins of grid take ", chart.Title, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("constant", 8, "Nearly all workers are busy from the start of each parallel phase to its end")]
    [InlineData("serial", 8, "One worker runs while the others wait")]
    public void Title_OfEvenRuns_SaysSo(string job, int workers, string title) => Assert.Equal(title, Build(SimulatedRuns.Job(job), workers).Chart.Title);

    [Fact]
    public void Stretches_PutTogether_AreCountedAndKeyed()
    {
        RunPicture picture = RunPicture.Of(SimulatedRuns.Usual, new WorkerPool(8), 1, 0, new RunPictureSettings { MostSegments = 20 });
        ChartModel chart = RunPictureChart.Build(picture, SimulatedRuns.Place(8));

        Assert.Contains(KeySign.MixedTime, chart.Key);
        Assert.Contains($"{Figures.Count(picture.MergedSegments)} of the shortest stretches are put together.", chart.Subtitle, StringComparison.Ordinal);
        Assert.Contains(chart.Stretches, stretch => stretch.Use == TimeUse.Mixed && stretch.Text.Contains(" short stretches, ", StringComparison.Ordinal));
    }

    private static (ChartModel Chart, RunPicture Picture) Build(JobStructure job, int workers, double speed = 1)
    {
        RunPicture picture = RunPicture.Of(job, new WorkerPool(workers), 1, 0);
        return (RunPictureChart.Build(picture, SimulatedRuns.Place(workers, speed: speed)), picture);
    }
}
