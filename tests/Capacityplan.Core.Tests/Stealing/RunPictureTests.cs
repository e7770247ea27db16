using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;
using CsCheck;

namespace Capacityplan.Core.Tests.Stealing;

public sealed class RunPictureTests
{
    private static readonly SchedulingCosts s_options = new() { WakeSeconds = 2e-5, RefillSecondsPerUnit = 1e-7, RefillUnits = 50 };

    private static readonly JobStructure s_job = new(
    [
        new SerialPhase("read", 2e-4),
        new ParallelPhase("grid", 3000, new LognormalSizes(-12, 1)),
        new ParallelPhase("contour", 2_000_000, new ExponentialSizes(1e-9), 512, s_options),
        new ParallelPhase("tiles", 640, new ConstantSizes(1e-5), 3, s_options),
        new SerialPhase("write", 1e-4),
    ]);

    private static readonly RunPictureSettings s_everything =
        new() { MostRows = RunPicture.MostWorkers, MostSegments = int.MaxValue, MostSteals = int.MaxValue };

    public static TheoryData<int, double> Pools() => new() { { 1, 1 }, { 2, 1 }, { 7, 0.6 }, { 64, 1 }, { 300, 0.5 } };

    [Theory]
    [MemberData(nameof(Pools))]
    public void Of_AnyReplicate_IsTheSimulatedRunToTheLastDigit(int workers, double speed)
    {
        var pool = new WorkerPool(workers, speed);
        IReadOnlyList<SimulatedRun> runs =
            PoolSimulation.Run(s_job, [pool], new SimulationSettings { Replicates = 3, Seed = 17 })[0].Runs;
        for (int replicate = 0; replicate < runs.Count; replicate++)
        {
            foreach (RunPictureSettings settings in new[] { new RunPictureSettings { MostRows = 5 }, s_everything })
            {
                RunPicture picture = RunPicture.Of(s_job, pool, 17, replicate, settings);
                Assert.Equal(runs[replicate], picture.Run);
                Assert.Equal(runs[replicate].MakespanSeconds, picture.Phases[^1].EndSeconds);
            }
        }
    }

    [Theory]
    [MemberData(nameof(Pools))]
    public void Of_EveryWorker_IsAccountedForFromStartToEndWithoutOverlap(int workers, double speed)
    {
        RunPicture picture = RunPicture.Of(s_job, new WorkerPool(workers, speed), 3, 1, s_everything);
        Assert.Equal(Enumerable.Range(0, workers), picture.Rows);
        Assert.Equal(0, picture.MergedSegments);
        AssertCovers(picture);
    }

    [Theory]
    [MemberData(nameof(Pools))]
    public void Of_WorkerTimes_AddUpToTheSharesOfTheRun(int workers, double speed)
    {
        RunPicture picture = RunPicture.Of(s_job, new WorkerPool(workers, speed), 3, 1, new RunPictureSettings { MostRows = 2 });
        WorkerTime all = picture.WorkerTimes.Aggregate((one, other) => one + other);
        double paid = workers * picture.Run.MakespanSeconds;
        TimeShares shares = picture.Run.Shares(workers);
        Assert.Equal(shares.Work, all.Work / paid, 1e-9);
        Assert.Equal(shares.Overhead, all.Overhead / paid, 1e-9);
        Assert.Equal(shares.Stealing, all.Stealing / paid, 1e-9);
        Assert.Equal(shares.Idle, (all.Idle + all.Waking) / paid, 1e-9);
        Assert.Equal(shares.Serial, (all.Serial + all.Waiting) / paid, 1e-9);
        Assert.Equal(3e-4, all.Serial, 1e-15);
        Assert.Equal(workers > 1, all.Waking > 0);
    }

    [Fact]
    public void Of_EveryUnitOfAPhase_IsRunByOneWorkerOnce()
    {
        RunPicture picture = RunPicture.Of(s_job, new WorkerPool(24), 5, 0, s_everything);
        Assert.All(new[] { (1, 3000L), (2, 2_000_000L), (3, 640L) }, one =>
        {
            (int phase, long units) = one;
            long next = 0;
            foreach (RunSegment segment in picture.Segments
                .Where(segment => segment.Phase == phase && segment.Activity == RunActivity.Running).OrderBy(segment => segment.FirstUnit))
            {
                Assert.Equal(next, segment.FirstUnit);
                next += segment.Units;
            }

            Assert.Equal(units, next);
        });
    }

    [Fact]
    public void Of_Steals_AreWhereThievesStopLookingAndVictimsLoseUnits()
    {
        RunPicture picture = RunPicture.Of(s_job, new WorkerPool(24), 5, 0, s_everything);
        Assert.Equal(picture.Run.Steals, picture.Steals.Count);
        Assert.Equal(picture.Run.Steals, picture.Phases.Sum(phase => phase.Steals));
        Assert.Equal(picture.Run.StolenUnits, picture.Steals.Sum(steal => steal.Units));
        Assert.Equal(picture.Steals.OrderBy(steal => steal.Seconds), picture.Steals);
        ILookup<(int, double), RunSegment> starts =
            picture.Segments.ToLookup(segment => (segment.Worker, segment.StartSeconds));
        Assert.All(picture.Steals, steal =>
        {
            Assert.NotEqual(steal.Thief, steal.Victim);
            Assert.Equal(RunActivity.Stealing, starts[(steal.Thief, steal.Seconds)].Single().Activity);
            RunSegment robbed = picture.Segments.Single(segment =>
                segment.Worker == steal.Victim && segment.StartSeconds < steal.Seconds && segment.EndSeconds >= steal.Seconds);
            Assert.Equal(RunActivity.Running, robbed.Activity);
        });
        RunPicture few = RunPicture.Of(s_job, new WorkerPool(24), 5, 0, s_everything with { MostSteals = 10 });
        Assert.Equal(10, few.Steals.Count);
        Assert.Equal(
            picture.Steals.Select(steal => steal.Units).OrderDescending().Take(10), few.Steals.Select(steal => steal.Units).OrderDescending());
    }

    [Fact]
    public void Of_OneLongUnit_ShowsTheStragglerAndEverybodyWaitingForIt()
    {
        // Seven units of 1 us and one of 1 s: on eight workers one is at it for nearly the whole run and the others look on.
        var job = new JobStructure([new ParallelPhase("straggler", 8, new SampleSizes([1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1]))]);
        RunPicture picture = Enumerable.Range(0, 50).Select(replicate => RunPicture.Of(job, new WorkerPool(8), 1, replicate))
            .First(picture => Math.Round(picture.Run.UsefulSeconds) == 1);
        int straggler = picture.Phases[0].LastWorker;
        RunSegment longest = picture.Segments.MaxBy(segment => segment.Activity == RunActivity.Running ? segment.Seconds : 0);
        Assert.Equal(straggler, longest.Worker);
        Assert.Equal(picture.Run.MakespanSeconds, longest.EndSeconds);
        Assert.True(picture.WorkerTimes[straggler].Work > 0.999 * picture.Run.MakespanSeconds);
        Assert.All(Enumerable.Range(0, 8).Where(worker => worker != straggler), worker =>
            Assert.True(picture.WorkerTimes[worker].Idle > 0.999 * picture.Run.MakespanSeconds));
    }

    [Theory]
    [InlineData(500)]
    [InlineData(200)]
    [InlineData(1)]
    public void Of_TooManySegments_MergesTheShortestAndSaysHowMany(int most)
    {
        RunPicture all = RunPicture.Of(s_job, new WorkerPool(24), 5, 0, s_everything);
        RunPicture few = RunPicture.Of(s_job, new WorkerPool(24), 5, 0, s_everything with { MostSegments = most });
        Assert.InRange(few.Segments.Count, 1, Math.Max(most, 24 * 5));
        Assert.Equal(all.Segments.Count, few.Segments.Sum(segment => segment.Merged));
        Assert.Equal(few.MergedSegments, few.Segments.Where(segment => segment.Activity == RunActivity.Mixed).Sum(segment => segment.Merged));
        Assert.True(few.MergedSegments > 0);
        Assert.Equal(all.WorkerTimes, few.WorkerTimes);
        AssertCovers(few);
        double longestMerged = all.Segments.Except(few.Segments).Max(segment => segment.Seconds);
        // What was kept by itself is longer than what was merged, or had no short neighbour in its phase.
        Assert.Contains(few.Segments, segment => segment.Seconds > longestMerged || most == 1);
        Assert.All(all.Segments.Where(segment => segment.Seconds > longestMerged), segment => Assert.Contains(segment, few.Segments));
    }

    [Fact]
    public void Of_MoreWorkersThanRows_KeepsThoseThatEndedPhasesAndSpreadsTheRest()
    {
        RunPicture picture = RunPicture.Of(s_job, new WorkerPool(300), 5, 0, new RunPictureSettings { MostRows = 20 });
        Assert.Equal(20, picture.Rows.Count);
        Assert.Equal(picture.Rows.Distinct().Order(), picture.Rows);
        Assert.All(picture.Phases, phase => Assert.Contains(phase.LastWorker, picture.Rows));
        Assert.Equal(300, picture.WorkerTimes.Count);
        for (int tenth = 0; tenth < 10; tenth++)
            Assert.Contains(picture.Rows, worker => worker / 30 == tenth);
        AssertCovers(picture);
    }

    [Fact]
    public void Of_AnyPhase_CoversTheRun() =>
        Gen.Select(Gen.Long[1, 400], Gen.Long[1, 9], Gen.Int[1, 40], Gen.Double[0, 1e-5], Gen.Int[0, 5]).ForAll(
            drawn =>
            {
                (long units, long grain, int workers, double cost, int replicate) = drawn;
                var costs = new SchedulingCosts
                {
                    ForkSeconds = cost,
                    JoinSeconds = cost / 2,
                    StealSeconds = cost * 3,
                    StealAttemptSeconds = 1e-6,
                    WakeSeconds = cost * 10,
                };
                var job = new JobStructure([new ParallelPhase("any", units, new GammaSizes(0.4, 2e-5), grain, costs)]);
                AssertCovers(RunPicture.Of(job, new WorkerPool(workers), 2, replicate, s_everything));
            },
            count: 100);

    [Fact]
    public void Of_WhatCannotBePictured_IsRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>("pool", () => RunPicture.Of(s_job, new WorkerPool(RunPicture.MostWorkers + 1), 1, 0));
        Assert.Throws<ArgumentOutOfRangeException>("replicate", () => RunPicture.Of(s_job, new WorkerPool(4), 1, -1));
        Assert.Throws<ArgumentOutOfRangeException>("MostRows", () => new RunPictureSettings { MostRows = 0 });
        using var cancellation = new CancellationTokenSource();
        cancellation.Cancel();
        Assert.Throws<OperationCanceledException>(() => RunPicture.Of(s_job, new WorkerPool(4), 1, 0, null, cancellation.Token));
    }

    [Fact]
    public void TypicalReplicate_IsTheRunNearestTheMedian()
    {
        SimulatedPool pool = PoolSimulation.Run(s_job, [new WorkerPool(8)], new SimulationSettings { Replicates = 21 })[0];
        Assert.Equal(pool.MakespanSeconds.Median, pool.Runs[pool.TypicalReplicate].MakespanSeconds);
    }

    private static void AssertCovers(RunPicture picture)
    {
        double tolerance = 1e-12 * picture.Run.MakespanSeconds;
        double end = 0;
        foreach (RunPhase phase in picture.Phases)
        {
            Assert.Equal(end, phase.StartSeconds);
            end = phase.EndSeconds;
        }

        Assert.Equal(picture.Run.MakespanSeconds, end);
        foreach (int row in picture.Rows)
        {
            double at = 0, sum = 0;
            foreach (RunSegment segment in picture.Segments.Where(segment => segment.Worker == row))
            {
                Assert.Equal(at, segment.StartSeconds);
                Assert.True(segment.EndSeconds > segment.StartSeconds, $"{segment}");
                Assert.Equal(segment.Seconds, segment.Time.TotalSeconds, tolerance);
                Assert.InRange(segment.StartSeconds, picture.Phases[segment.Phase].StartSeconds, segment.EndSeconds);
                Assert.InRange(segment.EndSeconds, segment.StartSeconds, picture.Phases[segment.Phase].EndSeconds);
                at = segment.EndSeconds;
                sum += segment.Time.TotalSeconds;
            }

            Assert.Equal(picture.Run.MakespanSeconds, at);
            Assert.Equal(sum, picture.WorkerTimes[row].TotalSeconds, tolerance);
            WorkerTime time = picture.WorkerTimes[row];
            Assert.All(
                new[] { time.Work, time.Overhead, time.Stealing, time.Idle, time.Waking, time.Serial, time.Waiting },
                part => Assert.True(part >= 0));
        }
    }
}
