using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>A job on a machine: the distribution of its run time and the chances that follow from it.</summary>
internal sealed class MachineRun
{
    private readonly ScalingForecast _scaling;
    private readonly double _speed;
    private readonly double[] _drawSeconds;
    private readonly double[] _heavySeconds;
    private readonly RunTimeMixture _run;
    private readonly RunTimeMixture _heavyRun;
    private readonly double _logNoise;

    /// <param name="plan">The job.</param>
    /// <param name="scaling">How it scales on the machine it was described for.</param>
    /// <param name="machine">The machine.</param>
    public MachineRun(Plan plan, ScalingForecast scaling, MachineType machine)
    {
        Plan = plan;
        Machine = machine;
        // Workers take a core each before they share one.
        EffectiveCores = plan.MostWorkers is { } most && most < machine.HardwareThreads
            ? (machine with { HardwareThreads = most }).EffectiveCores(plan.SecondThreadGain)
            : machine.EffectiveCores(plan.SecondThreadGain);
        _scaling = scaling;
        _speed = machine.RelativeCoreSpeed / plan.MeasuredOn.RelativeCoreSpeed;
        _logNoise = scaling.LogNoise(EffectiveCores);
        _drawSeconds = DrawSeconds(1);
        _run = new RunTimeMixture(_drawSeconds, _logNoise);
        bool heavy = plan.Nights.HeavyShare > 0;
        _heavySeconds = heavy ? DrawSeconds(plan.Nights.HeavyFactor) : _drawSeconds;
        _heavyRun = heavy ? new RunTimeMixture(_heavySeconds, _logNoise) : _run;
    }

    public Plan Plan { get; }

    public MachineType Machine { get; }

    public double EffectiveCores { get; }

    public int DrawCount => _drawSeconds.Length;

    /// <summary>Run time of an ordinary night, seconds.</summary>
    public Band RunSeconds(double bandShare) => _run.Band(bandShare);

    /// <summary>Run time of a heavy night, seconds.</summary>
    public Band HeavyRunSeconds(double bandShare) => _heavyRun.Band(bandShare);

    /// <summary>Chance that an ordinary night with an input so many times the planned one ends inside the window.</summary>
    public double ChanceOnOrdinaryNight(BatchWindow window, double inputFactor = 1) => ChanceOf(_run, window, 1, inputFactor);

    /// <summary>The same for a heavy night.</summary>
    public double ChanceOnHeavyNight(BatchWindow window, double inputFactor = 1) => ChanceOf(_heavyRun, window, Plan.Nights.HeavyFactor, inputFactor);

    /// <summary>That chance over ordinary and heavy nights together.</summary>
    public double Chance(BatchWindow window, double inputFactor = 1)
    {
        double heavy = Plan.Nights.HeavyShare;
        double chance = heavy < 1 ? (1 - heavy) * ChanceOnOrdinaryNight(window, inputFactor) : 0;
        return heavy > 0 ? chance + heavy * ChanceOnHeavyNight(window, inputFactor) : chance;
    }

    /// <summary>That chance where one draw's curve is the true one.</summary>
    /// <param name="draw">Which draw.</param>
    /// <param name="window">The window.</param>
    /// <param name="logShift">What is known besides to add to the logarithm of its time.</param>
    /// <param name="variance">What knowing it takes from the variance of the logarithm.</param>
    public double ChanceGiven(int draw, BatchWindow window, double logShift = 0, double variance = 0)
    {
        double left = (window.Seconds - Machine.StartUpSeconds) * Exp(-logShift);
        if (left <= 0)
            return 0;
        double noise = variance == 0 ? _logNoise : Sqrt(Max(0.1 * _logNoise * _logNoise, _logNoise * _logNoise - variance));
        double z = Log(left / _drawSeconds[draw]) / noise;
        double heavy = Plan.Nights.HeavyShare;
        double chance = (1 - heavy) * RunTimeMixture.StandardNormal(z);
        return heavy > 0
            ? chance + heavy * RunTimeMixture.StandardNormal(Log(left / _heavySeconds[draw]) / noise)
            : chance;
    }

    /// <summary>Seconds from start to finish where one draw's curve is the true one.</summary>
    public double StartToFinishGiven(int draw) => Machine.StartUpSeconds + _drawSeconds[draw];

    /// <summary>The largest input, times the planned one, that still meets the window's target; null where the planned one does not.</summary>
    public double? LargestInputFactor(BatchWindow window)
    {
        if (Chance(window) < window.TargetChance)
            return null;
        double low = 1, high = 2;
        // Beyond a millionfold input the question has no practical answer.
        while (high < 1e6 && Chance(window, high) >= window.TargetChance)
            (low, high) = (high, high * 2);
        // Where runs of several sizes were measured every step is worked out anew, from curves.
        for (int step = 0; step < (_scaling.Growth is null ? 30 : 12); step++)
        {
            double middle = Sqrt(low * high);
            if (Chance(window, middle) >= window.TargetChance)
                low = middle;
            else
                high = middle;
        }

        return low;
    }

    /// <summary>The run time grows as runs of several sizes say, and in proportion to the input where there are none.</summary>
    private double ChanceOf(RunTimeMixture run, BatchWindow window, double nightFactor, double inputFactor)
    {
        double left = window.Seconds - Machine.StartUpSeconds;
        if (_scaling.Growth is null)
            return run.ChanceWithin(left / inputFactor);
        return inputFactor == 1 ? run.ChanceWithin(left) : new RunTimeMixture(DrawSeconds(nightFactor * inputFactor), _logNoise).ChanceWithin(left);
    }

    /// <summary>Seconds each curve gives for an input, times the planned one.</summary>
    private double[] DrawSeconds(double inputFactor)
    {
        double[] seconds = new double[_scaling.DrawCount];
        _scaling.CurveSeconds(EffectiveCores, Plan.InputFactor * inputFactor, seconds);
        for (int draw = 0; draw < seconds.Length; draw++)
            seconds[draw] /= _speed;
        return seconds;
    }

    /// <summary>The window that would meet a target, seconds.</summary>
    public double WindowFor(double targetChance)
    {
        double low = 0, high = 1;
        while (Chance(new BatchWindow(high)) < targetChance)
            (low, high) = (high, high * 2);
        for (int step = 0; step < 50; step++)
        {
            double middle = 0.5 * (low + high);
            if (Chance(new BatchWindow(middle)) < targetChance)
                low = middle;
            else
                high = middle;
        }

        return high;
    }
}
