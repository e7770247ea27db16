using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>A job on a machine: the distribution of its run time and the chances that follow from it.</summary>
internal sealed class MachineRun
{
    private readonly double[] _drawSeconds;
    private readonly RunTimeMixture _run;
    private readonly double _logNoise;

    /// <param name="plan">The job.</param>
    /// <param name="scaling">How it scales on the machine it was described for.</param>
    /// <param name="machine">The machine.</param>
    public MachineRun(Plan plan, ScalingForecast scaling, MachineType machine)
    {
        Plan = plan;
        Machine = machine;
        EffectiveCores = machine.EffectiveCores(plan.SecondThreadGain);
        double factor = plan.InputFactor * plan.MeasuredOn.RelativeCoreSpeed / machine.RelativeCoreSpeed;
        _drawSeconds = new double[scaling.DrawCount];
        scaling.CurveSeconds(EffectiveCores, _drawSeconds);
        for (int draw = 0; draw < _drawSeconds.Length; draw++)
            _drawSeconds[draw] *= factor;
        _logNoise = scaling.LogNoise(EffectiveCores);
        _run = new RunTimeMixture(_drawSeconds, _logNoise);
    }

    public Plan Plan { get; }

    public MachineType Machine { get; }

    public double EffectiveCores { get; }

    public int DrawCount => _drawSeconds.Length;

    /// <summary>Run time of an ordinary night, seconds.</summary>
    public Band RunSeconds(double bandShare) => _run.Band(bandShare);

    /// <summary>
    /// Chance that a night with an input so many times the planned one ends inside the window. The run time is taken to
    /// grow in proportion to the input.
    /// </summary>
    public double ChanceOnNight(BatchWindow window, double inputFactor) =>
        _run.ChanceWithin((window.Seconds - Machine.StartUpSeconds) / inputFactor);

    /// <summary>That chance over ordinary and heavy nights together.</summary>
    public double Chance(BatchWindow window, double inputFactor = 1)
    {
        double heavy = Plan.Nights.HeavyShare;
        double chance = heavy < 1 ? (1 - heavy) * ChanceOnNight(window, inputFactor) : 0;
        return heavy > 0 ? chance + heavy * ChanceOnNight(window, inputFactor * Plan.Nights.HeavyFactor) : chance;
    }

    /// <summary>That chance where one draw's curve is the true one.</summary>
    public double ChanceGiven(int draw, BatchWindow window)
    {
        double left = window.Seconds - Machine.StartUpSeconds;
        if (left <= 0)
            return 0;
        double z = Log(left / _drawSeconds[draw]) / _logNoise;
        double heavy = Plan.Nights.HeavyShare;
        double chance = (1 - heavy) * RunTimeMixture.StandardNormal(z);
        return heavy > 0
            ? chance + heavy * RunTimeMixture.StandardNormal(z - Log(Plan.Nights.HeavyFactor) / _logNoise)
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
        for (int step = 0; step < 30; step++)
        {
            double middle = Sqrt(low * high);
            if (Chance(window, middle) >= window.TargetChance)
                low = middle;
            else
                high = middle;
        }

        return low;
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
