using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using CsCheck;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Core.Tests.Planning;

public sealed class SharedNightTests
{
    [Fact]
    public void OneAfterAnother_TakesTheSumOfTheJobs()
    {
        NightScaling night = Night(mayShare: false, [], [Job(400, 20), Job(900, 5), Job(100, 100)]);

        NightSchedule schedule = night.ScheduleOn(8);

        Assert.False(schedule.SharesCores);
        Assert.Equal(Usual(400, 20, 8) + Usual(900, 5, 8) + Usual(100, 100, 8), schedule.Seconds, 1e-6);
        Assert.All(schedule.Runs, run => Assert.Equal(8, run.Cores));
    }

    [Fact]
    public void SideBySide_OfTwoAlike_SavesOneSpan()
    {
        // By hand: (T1 - T_inf)/p + T_inf each with half the cores ends one T_inf sooner than twice that with all of them.
        NightScaling night = Night(mayShare: true, [], [Job(820, 20), Job(820, 20)]);

        NightSchedule schedule = night.ScheduleOn(16);

        Assert.True(schedule.SharesCores);
        Assert.Equal(2 * Usual(820, 20, 16) - UsualSpan(820, 20), schedule.Seconds, 1e-6);
        Assert.All(schedule.Runs, run => Assert.Equal(8, run.Cores));
    }

    [Fact]
    public void Jobs_ThatWaitForEachOther_RunInTheirOrderWithAllCores()
    {
        NightScaling night = Night(mayShare: true, [2], [Job(400, 20), Job(900, 5, 0), Job(100, 10)]);

        ImmutableArray<NightRun> runs = night.ScheduleOn(32).Runs;

        Assert.Equal(runs[2].EndSeconds, runs[0].StartSeconds);
        Assert.Equal(runs[0].EndSeconds, runs[1].StartSeconds);
        Assert.All(runs, run => Assert.Equal(32, run.Cores));
    }

    [Fact]
    public void Schedules_KeepOrderAndCores_AndEndNoLaterThanOneAfterAnother() =>
        s_anyNight.ForAll(night =>
        {
            double cores = 12;
            NightSchedule shared = Night(true, night.OwnAfter, night.Jobs).ScheduleOn(cores);
            NightSchedule single = Night(false, night.OwnAfter, night.Jobs).ScheduleOn(cores);

            Assert.InRange(shared.Seconds, 0, single.Seconds * (1 + 1e-9));
            ImmutableArray<ImmutableArray<int>> after = [night.OwnAfter, .. night.Jobs.Skip(1).Select(job => job.After)];
            foreach (NightRun run in shared.Runs)
            {
                Assert.All(after[run.Job], before => Assert.True(shared.Runs[before].EndSeconds <= run.StartSeconds));
                double atStart = shared.Runs.Where(other => other.StartSeconds <= run.StartSeconds && run.StartSeconds < other.EndSeconds).Sum(other => other.Cores);
                Assert.InRange(atStart, 0, cores * (1 + 1e-6));
                // The work law holds for each job with its cores.
                Assert.True(run.EndSeconds - run.StartSeconds >= night.Jobs[run.Job].Seconds(1) * 0.99 / cores);
            }
        }, count: 60);

    [Fact]
    public void Schedules_ComeNearTheBestOfAllSharesAndOrders() =>
        s_anyNight.Where(night => night.Jobs.Length <= 3).ForAll(night =>
        {
            double cores = 12;
            double best = BestOfAll(night, cores);
            double found = Night(true, night.OwnAfter, night.Jobs).ScheduleOn(cores).Seconds;

            Assert.InRange(found / best, 1 - 1e-9, 1.02);
        }, count: 12);

    [Fact]
    public void Curves_OfJobsThatKnowNothingOfEachOther_AddTheirVariances()
    {
        StatedJob one = Job(400, 20), other = Job(900, 40);
        NightScaling night = Night(mayShare: false, [], [one, other]);
        double[] together = Curves(night, 8), first = Curves(one.Scaling(1), 8), second = Curves(other.Scaling(1), 8);

        Assert.Equal(1, Math.Sqrt(first.Variance() + second.Variance()) / together.StandardDeviation(), 0.08);
        Assert.Equal(first.Mean() + second.Mean(), together.Mean(), 0.005 * together.Mean());
    }

    [Fact]
    public void Noise_OfTwoAlikeInARow_IsThatOfOneOverTheRootOfTwo()
    {
        NightScaling night = Night(mayShare: false, [], [Job(400, 20), Job(400, 20)]);

        Assert.Equal(TimingNoise.AssumedRunToRun / Math.Sqrt(2), night.LogNoise(8), 1e-4);
    }

    [Fact]
    public void WorkAndSpan_AreTheSumAndTheLongestChain()
    {
        NightScaling night = Night(mayShare: true, [], [Job(400, 20), Job(900, 5, 0), Job(100, 30)]);

        Assert.Equal(1_400, night.WorkSeconds, 0.02 * 1_400);
        Assert.Equal(30, night.SpanSeconds, 1e-9);
        RunTimeParts parts = night.Parts(64);
        double sum = parts.WorkSeconds + parts.SpanSeconds + parts.OverheadSeconds + parts.ContentionSeconds + parts.SerialSeconds;
        Assert.Equal(night.ScheduleOn(64).Seconds, sum, 0.02 * sum);
    }

    [Fact]
    public void Planner_WithOtherJobs_ChoosesForTheWholeNight()
    {
        Plan demo = TidemarkJob.Plan with { MemoryGiB = 24 };
        Plan index = new([], new WorkAndSpan(7_200, 60, 1_000)) { Name = "index", MemoryGiB = 10 };
        Plan plan = demo with { SharedNight = new SharedNight([new NightJob(index, [0])], []) { MayShareCores = false } };
        PlannerSettings settings = new() { AdviseForChoice = true };

        PlanResult night = Planner.Evaluate(plan, TidemarkJob.Catalogue, settings);
        PlanResult alone = Planner.Evaluate(demo, TidemarkJob.Catalogue, settings);

        Assert.Equal(alone.Forecast.WorkSeconds, night.OfJob.Forecast.WorkSeconds);
        Assert.Equal(ForecastBasis.SharedNight, night.Forecast.Basis);
        MachineOutcome choice = night.Verdict.Choice!;
        Assert.NotEqual(alone.Verdict.Choice!.Machine.Name, choice.Machine.Name);
        Assert.Equal(choice.Machine, night.OfJob.Verdict.Choice!.Machine);
        Assert.StartsWith($"{choice.Machine.Name} finishes both jobs in ", night.Verdict.Sentence, StringComparison.Ordinal);
        // The night's bar of the chosen machine: one job after the other, in its seconds.
        Assert.Equal(choice.RunSeconds.Median, night.NightOnChoice!.Seconds, 0.02 * choice.RunSeconds.Median);
        Assert.Equal(night.NightOnChoice.Runs[0].EndSeconds, night.NightOnChoice.Runs[1].StartSeconds);
        Assert.Equal(alone.Machines.Single(one => one.Machine == choice.Machine).RunSeconds.Median, night.NightOnChoice.Runs[0].EndSeconds, 0.03 * choice.RunSeconds.Median);
        Assert.Contains(night.Problems, problem => problem.Path == "job.night");
        Assert.Equal(24, plan.MemoryNeededGiB);
        Assert.Equal(34, (plan with { SharedNight = plan.SharedNight! with { MayShareCores = true } }).MemoryNeededGiB);
        Assert.Equal(24, demo.MemoryNeededGiB);
    }

    [Fact]
    public void ScalesAlike_LooksAtTheOtherJobsToo()
    {
        Plan With(double work, bool mayShare, ImmutableArray<int> after) => TidemarkJob.Plan with
        {
            SharedNight = new SharedNight([new NightJob(new Plan([], new WorkAndSpan(work, 60, 1_000)), after)], []) { MayShareCores = mayShare },
        };

        Assert.True(Planner.ScalesAlike(With(7_200, true, [0]), With(7_200, true, [0]) with { MemoryGiB = 3 }));
        Assert.False(Planner.ScalesAlike(With(7_200, true, [0]), With(7_201, true, [0])));
        Assert.False(Planner.ScalesAlike(With(7_200, true, [0]), With(7_200, false, [0])));
        Assert.False(Planner.ScalesAlike(With(7_200, true, [0]), With(7_200, true, [])));
        Assert.False(Planner.ScalesAlike(With(7_200, true, [0]), TidemarkJob.Plan));
    }

    [Fact]
    public void Night_WithoutSense_IsRefused()
    {
        Plan plan = new([], new WorkAndSpan(7_200, 60, 1_000));

        Assert.Throws<ArgumentException>(() => new SharedNight([], []));
        Assert.Throws<ArgumentException>(() => new SharedNight([new NightJob(plan, [2])], []));
        Assert.Throws<ArgumentException>(() => new SharedNight([new NightJob(plan, [0])], [1]));
        Assert.Throws<ArgumentException>(() => new SharedNight([.. Enumerable.Repeat(new NightJob(plan, []), SharedNight.MostJobs)], []));
        Assert.Equal([1, 2], SharedNight.CircleOf([[], [2], [1]]));
        Assert.Null(SharedNight.CircleOf([[], [0], [0, 1]]));
    }

    private static readonly Gen<AnyNightOf> s_anyNight =
        from count in Gen.Int[2, 4]
        from jobs in Gen.Select(Gen.Double[50, 2_000], Gen.Double[0, 0.5]).Array[count]
        from links in Gen.Int[0, 3].Array[count]
        select new AnyNightOf(
            links[0] == 3 ? [count - 1] : [],
            [.. jobs.Select((job, number) => Job(job.Item1, job.Item1 * job.Item2, number > 1 && links[number] == 2 && (number < count - 1 || links[0] != 3) ? [number - 1] : []))]);

    private static StatedJob Job(double work, double span, params ImmutableArray<int> after) => new(work, span, after);

    /// <summary>Median of a stated job's curves, seconds.</summary>
    private static double Usual(double work, double span, double cores) => Job(work, span).Seconds(cores);

    /// <summary>How much longer a job takes twice with p cores than once with p/2: its span, as its curves have it.</summary>
    private static double UsualSpan(double work, double span) => 2 * Usual(work, span, 16) - Usual(work, span, 8);

    private static NightScaling Night(bool mayShare, ImmutableArray<int> ownAfter, StatedJob[] jobs) => new(
        jobs[0].Scaling(1), 1,
        new SharedNight([.. jobs.Skip(1).Select(job => new NightJob(new Plan([], job.Stated), job.After))], ownAfter) { MayShareCores = mayShare },
        [.. jobs.Skip(1).Select(job => job.Scaling(1))], seed: 1);

    private static double[] Curves(ScalingForecast scaling, double cores)
    {
        double[] seconds = new double[scaling.DrawCount];
        scaling.CurveSeconds(cores, seconds);
        return seconds;
    }

    /// <summary>The shortest night over every combination of shares, each started in every order: slow, and simple.</summary>
    private static double BestOfAll(AnyNightOf night, double cores)
    {
        double[] shares = [1, 7.0 / 8, 3.0 / 4, 2.0 / 3, 5.0 / 8, 1.0 / 2, 3.0 / 8, 1.0 / 3, 1.0 / 4, 1.0 / 6, 1.0 / 8];
        int jobs = night.Jobs.Length;
        double[][] times = [.. night.Jobs.Select(job => shares.Select(share => job.Seconds(share * cores)).ToArray())];
        ImmutableArray<ImmutableArray<int>> after = [night.OwnAfter, .. night.Jobs.Skip(1).Select(job => job.After)];
        double best = double.PositiveInfinity;
        for (int code = 0; code < (int)Math.Pow(shares.Length, jobs); code++)
        {
            int[] chosen = [.. Enumerable.Range(0, jobs).Select(job => code / (int)Math.Pow(shares.Length, job) % shares.Length)];
            foreach (int[] order in Orders(jobs))
                best = Math.Min(best, Serially(order, chosen));
        }

        return best;

        // Each job in turn at the earliest time at which it may start and its cores stay free.
        double Serially(int[] order, int[] chosen)
        {
            var placed = new Dictionary<int, (double From, double To)>();
            foreach (int job in order)
            {
                if (after[job].Any(before => !placed.ContainsKey(before)))
                    return double.PositiveInfinity;
                double ready = after[job].Select(before => placed[before].To).DefaultIfEmpty(0).Max(), length = times[job][chosen[job]];
                double start = placed.Values.Select(run => run.To).Append(ready).Where(time => time >= ready).Order()
                    .First(time => Peak(placed, chosen, time, time + length) + shares[chosen[job]] <= 1 + 1e-9);
                placed[job] = (start, start + length);
            }

            return placed.Values.Max(run => run.To);
        }

        double Peak(Dictionary<int, (double From, double To)> placed, int[] chosen, double from, double to) =>
            placed.Values.Select(run => run.From).Append(from).Where(time => time >= from && time < to)
                .Max(time => placed.Where(run => run.Value.From <= time && time < run.Value.To).Sum(run => shares[chosen[run.Key]]));
    }

    private static IEnumerable<int[]> Orders(int jobs) => jobs == 1
        ? [[0]]
        : Orders(jobs - 1).SelectMany(order => Enumerable.Range(0, jobs).Select(at => (int[])[.. order.Take(at), jobs - 1, .. order.Skip(at)]));

    private sealed record StatedJob(double Work, double Span, ImmutableArray<int> After)
    {
        public WorkAndSpan Stated => new(Work, Span, 1_000);

        public StatedScaling Scaling(int seed) => new(Stated, seed, 1_000);

        public double Seconds(double cores) => Curves(Scaling(1), cores).Median();
    }

    private sealed record AnyNightOf(ImmutableArray<int> OwnAfter, StatedJob[] Jobs);
}
