using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>
/// A job on so many cores' worth of the machine it was described for. A machine with as many cores' worth, whatever it costs,
/// makes these same runs of it in a time that its speed alone decides, so that they are worked out once for all of them:
/// a catalogue has far fewer core counts than machines. What is worked out when it is asked for is for one thread;
/// <see cref="Seconds"/> may be read by several.
/// </summary>
internal sealed class RunsOnCores
{
    private readonly Plan _plan;
    private readonly ScalingForecast _scaling;
    private readonly Lazy<double[]> _logSeconds;
    private readonly Lazy<double[]?> _heavyLonger;
    private readonly Lazy<RunSample> _sample;
    private readonly Lazy<RunSample?> _heavySample;
    private (double Share, Band Band)? _band;
    private (double Share, Band Band)? _heavyBand;

    /// <param name="plan">The job.</param>
    /// <param name="scaling">How it scales on the machine it was described for.</param>
    /// <param name="cores">Cores' worth; 1 or more.</param>
    public RunsOnCores(Plan plan, ScalingForecast scaling, double cores)
    {
        (_plan, _scaling, Cores) = (plan, scaling, cores);
        LogNoise = scaling.LogNoise(cores);
        Seconds = CurveSeconds(1);
        Run = new RunTimeMixture(Seconds, LogNoise);
        if (scaling.Growth is not null)
        {
            SizeExponent = Log2(new RunTimeMixture(CurveSeconds(2), LogNoise).Quantile(0.5) / Run.Quantile(0.5));
            if (KnowsNightsByCurve && plan.Nights.HeavyShare > 0)
            {
                HeavySeconds = CurveSeconds(plan.Nights.HeavyFactor);
                HeavyRun = new RunTimeMixture(HeavySeconds, LogNoise);
            }
        }

        _logSeconds = new(() => [.. Seconds.Select(seconds => Log(seconds))]);
        _heavyLonger = new(() => HeavySeconds is null ? null : [.. HeavySeconds.Zip(Seconds, (heavy, usual) => Log(heavy / usual))]);
        _sample = new(() => new RunSample(Seconds, LogNoise));
        _heavySample = new(() => HeavySeconds is null ? null : new RunSample(HeavySeconds, LogNoise));
    }

    /// <summary>Cores' worth.</summary>
    public double Cores { get; }

    /// <summary>Standard deviation of the natural logarithm of a run about its curve.</summary>
    public double LogNoise { get; }

    /// <summary>The time of each curve with the planned input on an ordinary night, seconds.</summary>
    public double[] Seconds { get; }

    /// <summary>Natural logarithms of them.</summary>
    public double[] LogSeconds => _logSeconds.Value;

    /// <summary>The same on a heavy night, where curves are followed there; else null.</summary>
    public double[]? HeavySeconds { get; }

    /// <summary>Natural logarithms of the time of each curve on a heavy night over that on an ordinary one, likewise.</summary>
    public double[]? HeavyLonger => _heavyLonger.Value;

    /// <summary>A run of an ordinary night.</summary>
    public RunTimeMixture Run { get; }

    /// <summary>A run of a heavy night, where curves are followed there; else null.</summary>
    public RunTimeMixture? HeavyRun { get; }

    /// <summary>Nights drawn from <see cref="Run"/>.</summary>
    public RunSample Sample => _sample.Value;

    /// <summary>Nights drawn from <see cref="HeavyRun"/>.</summary>
    public RunSample? HeavySample => _heavySample.Value;

    /// <summary>Where runs of several sizes were measured, the power of the input that the time grows by in the middle; else 0.</summary>
    public double SizeExponent { get; }

    /// <summary>With many kinds of nights, curves of runs of several sizes are followed by their middle only: each would be worked out anew.</summary>
    public bool KnowsNightsByCurve => _scaling.Growth is not null && !_plan.Nights.AreRunTimes && _plan.Nights.Kinds.Length <= 2;

    /// <summary>The band of <see cref="Run"/>, kept for who asks next.</summary>
    /// <param name="share">The central share it holds.</param>
    public Band Band(double share)
    {
        if (_band is not { } known || known.Share != share)
            _band = known = (share, Run.Band(share));
        return known.Band;
    }

    /// <summary>Likewise of <see cref="HeavyRun"/>; null where there is none.</summary>
    /// <param name="share">The central share it holds.</param>
    public Band? HeavyBand(double share)
    {
        if (HeavyRun is null)
            return null;
        if (_heavyBand is not { } known || known.Share != share)
            _heavyBand = known = (share, HeavyRun.Band(share));
        return known.Band;
    }

    /// <summary>Seconds each curve gives for an input, times the planned one.</summary>
    public double[] CurveSeconds(double inputFactor)
    {
        double[] seconds = new double[_scaling.DrawCount];
        double size = _plan.InputFactor * inputFactor;
        _scaling.CurveSeconds(Cores, _scaling.Growth is null ? 1 : size, seconds);
        double factor = _scaling.Growth is null ? _plan.InputWork.TimeFactor(size) : 1;
        for (int draw = 0; draw < seconds.Length; draw++)
            seconds[draw] *= factor;
        return seconds;
    }
}

/// <summary>The runs of one job on the machines of a catalogue. Used by one thread.</summary>
/// <param name="plan">The job.</param>
/// <param name="scaling">How it scales on the machine it was described for.</param>
internal sealed class MachineRuns(Plan plan, ScalingForecast scaling)
{
    private readonly Dictionary<double, RunsOnCores> _byCores = [];

    /// <summary>Works out side by side what machines will be asked for.</summary>
    /// <param name="machines">The machines.</param>
    /// <param name="bandShare">The central share their bands will hold.</param>
    /// <param name="cancellation">Stops the work.</param>
    public void Prepare(IEnumerable<MachineType> machines, double bandShare, CancellationToken cancellation)
    {
        double[] cores = [.. machines.Select(CoresFor).Distinct().Where(cores => !_byCores.ContainsKey(cores))];
        var runs = new RunsOnCores[cores.Length];
        Parallel.For(0, cores.Length, new ParallelOptions { CancellationToken = cancellation }, index =>
        {
            runs[index] = new RunsOnCores(plan, scaling, cores[index]);
            runs[index].Band(bandShare);
        });
        foreach (RunsOnCores one in runs)
            _byCores.Add(one.Cores, one);
    }

    /// <summary>The job on a machine.</summary>
    public MachineRun On(MachineType machine)
    {
        double cores = CoresFor(machine);
        if (!_byCores.TryGetValue(cores, out RunsOnCores? runs))
            _byCores.Add(cores, runs = new RunsOnCores(plan, scaling, cores));
        return new MachineRun(plan, scaling, machine, runs);
    }

    // Workers take a core each before they share one.
    private double CoresFor(MachineType machine) => plan.MostWorkers is { } most && most < machine.HardwareThreads
        ? (machine with { HardwareThreads = most }).EffectiveCores(plan.SecondThreadGain)
        : machine.EffectiveCores(plan.SecondThreadGain);
}
