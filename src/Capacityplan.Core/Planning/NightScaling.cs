using System.Collections.Concurrent;
using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using MathNet.Numerics.Random;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// How long a whole night takes against cores: the jobs' own scaling, put together by their order and by how they share the
/// cores. What is off in one job's forecast is taken to say nothing of another's.
/// </summary>
/// <remarks>
/// A curve of the night takes one curve of each job, at random and seeded. The cores are shared by the jobs' usual times, as
/// one would before the night, and every curve is run with these shares. Jobs that run at once are taken not to disturb
/// each other beyond the cores they take: memory bandwidth and files they share would slow them down.
/// </remarks>
public sealed class NightScaling : ScalingForecast
{
    private readonly SharedNight _night;
    private readonly ScalingForecast[] _jobs;
    private readonly double[] _factors;
    private readonly int[][] _draws;
    private readonly ConcurrentDictionary<double, Night> _nights = new();

    /// <summary>Puts a night together.</summary>
    /// <param name="own">The plan's own job.</param>
    /// <param name="ownSpeed">Relative core speed of the machine it was described for; above 0.</param>
    /// <param name="night">The night.</param>
    /// <param name="others">The scaling of the night's other jobs, in its order.</param>
    /// <param name="seed">Seed of which curves meet.</param>
    /// <exception cref="ArgumentException">The other jobs are not as many as the night has.</exception>
    public NightScaling(ScalingForecast own, double ownSpeed, SharedNight night, IReadOnlyList<ScalingForecast> others, int seed)
    {
        if (others.Count != night.Others.Length)
            throw new ArgumentException($"The night has {night.Others.Length} other jobs; {others.Count} are given.", nameof(others));
        Own = own;
        _night = night;
        _jobs = [own, .. others];
        _factors = [1, .. night.Others.Select(job => job.Plan.MeasuredOn.RelativeCoreSpeed / ownSpeed * job.Plan.InputFactor)];
        DrawCount = _jobs.Max(job => job.DrawCount);
        var random = new Xoshiro256StarStar(seed, threadSafe: false);
        _draws = [.. _jobs.Select(job => Enumerable.Range(0, DrawCount).Select(draw => draw % job.DrawCount).ToArray())];
        foreach (int[] draws in _draws.Skip(1))
            random.Shuffle(draws);
        MeasuredUpToCores = _jobs.All(job => job.MeasuredUpToCores is not null) ? _jobs.Min(job => job.MeasuredUpToCores) : null;
        WorkSeconds = At1().Seconds.Median();
        SpanSeconds = Min(WorkSeconds, LongestChain());
        RunToRunNoise = LogNoise(MeasuredUpToCores ?? 8);
        Models =
        [
            .. _jobs.Select((job, number) => new FittedModel(
                number == 0 ? "the plan's own job" : night.Others[number - 1].Plan.Name, job.Models[0].Formula, job.WorkSeconds * _factors[number] / _jobs.Select((one, at) => one.WorkSeconds * _factors[at]).Sum(),
                ImmutableSortedDictionary<string, double>.Empty.Add("workSeconds", job.WorkSeconds * _factors[number]).Add("spanSeconds", job.SpanSeconds * _factors[number]))),
        ];

        Night At1() => On(1);
    }

    /// <summary>The scaling of the plan's own job.</summary>
    public ScalingForecast Own { get; }

    /// <inheritdoc/>
    public override int DrawCount { get; }

    /// <inheritdoc/>
    public override double? MeasuredUpToCores { get; }

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override double RunToRunNoise { get; }

    /// <inheritdoc/>
    public override IReadOnlyList<FittedModel> Models { get; }

    /// <summary>How the jobs run, each taking its usual time.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    public NightSchedule ScheduleOn(double cores) => On(cores).Schedule;

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds) => On(cores).Seconds.CopyTo(seconds);

    /// <inheritdoc/>
    /// <remarks>The cores are shared as for the planned input.</remarks>
    public override void CurveSeconds(double cores, double size, Span<double> seconds)
    {
        if (Array.TrueForAll(_jobs, job => job.Growth is null))
            base.CurveSeconds(cores, size, seconds);
        else
            Together(cores, On(cores).Allotment, (job, on) => CurveOf(job, on, size)).CopyTo(seconds);
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        NightSchedule schedule = On(cores).Schedule;
        // Only what the end of the night waits for carries its scatter on to it.
        double variance = 0;
        foreach (NightRun run in Critical(schedule))
            variance += Pow((run.EndSeconds - run.StartSeconds) / schedule.Seconds * _jobs[run.Job].LogNoise(Max(1, run.Cores)), 2);
        return Sqrt(variance);
    }

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        var all = default(RunTimeParts);
        foreach (NightRun run in Critical(On(cores).Schedule))
        {
            RunTimeParts parts = _jobs[run.Job].Parts(Max(1, run.Cores));
            double factor = _factors[run.Job];
            all = new RunTimeParts(
                all.WorkSeconds + factor * parts.WorkSeconds, all.SpanSeconds + factor * parts.SpanSeconds, all.OverheadSeconds + factor * parts.OverheadSeconds,
                all.ContentionSeconds + factor * parts.ContentionSeconds, all.SerialSeconds + factor * parts.SerialSeconds);
        }

        return all;
    }

    private Night On(double cores) => _nights.GetOrAdd(Require.AtLeast(cores, 1.0), WorkOut);

    private Night WorkOut(double cores)
    {
        var curves = new Dictionary<(int Job, double Cores), double[]>();
        double[] Curve(int job, double on)
        {
            if (!curves.TryGetValue((job, on), out double[]? seconds))
                curves.Add((job, on), seconds = CurveOf(job, on, 1));
            return seconds;
        }

        var allotment = NightAllotment.Find(_night.After, cores, _night.MayShareCores, (job, on) => Curve(job, on).Median());
        var runs = new (double Start, double End)[_jobs.Length];
        allotment.Run([.. allotment.Shares.Select((share, job) => Curve(job, share * cores).Median())], runs);
        return new Night(
            Together(cores, allotment, Curve), allotment,
            new NightSchedule([.. runs.Select((run, job) => new NightRun(job, run.Start, run.End, allotment.Shares[job] * cores))]));
    }

    /// <summary>The length of each curve's night, seconds.</summary>
    private double[] Together(double cores, NightAllotment allotment, Func<int, double, double[]> curve)
    {
        double[][] taken = [.. allotment.Shares.Select((share, job) => curve(job, share * cores))];
        double[] night = new double[DrawCount], each = new double[taken.Length];
        for (int draw = 0; draw < DrawCount; draw++)
        {
            for (int job = 0; job < each.Length; job++)
                each[job] = taken[job][_draws[job][draw]];
            night[draw] = allotment.Run(each, null);
        }

        return night;
    }

    /// <summary>The curves of one job, as many seconds of the machine the plan's own was described for.</summary>
    private double[] CurveOf(int job, double cores, double size)
    {
        double[] seconds = new double[_jobs[job].DrawCount];
        _jobs[job].CurveSeconds(cores, size, seconds);
        for (int draw = 0; draw < seconds.Length; draw++)
            seconds[draw] *= _factors[job];
        return seconds;
    }

    /// <summary>The runs that end the night and, going back, those each of them started at the end of.</summary>
    private static IEnumerable<NightRun> Critical(NightSchedule schedule)
    {
        NightRun run = schedule.Runs.MaxBy(one => one.EndSeconds);
        yield return run;
        while (run.StartSeconds > 0)
        {
            double start = run.StartSeconds;
            run = schedule.Runs.First(one => one.EndSeconds == start);
            yield return run;
        }
    }

    private double LongestChain()
    {
        double[] ends = new double[_jobs.Length];
        foreach (int job in NightAllotment.Sorted(_night.After))
            ends[job] = _night.After[job].Select(before => ends[before]).DefaultIfEmpty(0).Max() + _factors[job] * _jobs[job].SpanSeconds;
        return _night.MayShareCores ? ends.Max() : _jobs.Select((job, at) => job.SpanSeconds * _factors[at]).Sum();
    }

    /// <summary>The night on a machine: each curve's length in seconds, how the cores are shared, and the usual schedule.</summary>
    private sealed record Night(double[] Seconds, NightAllotment Allotment, NightSchedule Schedule);
}
