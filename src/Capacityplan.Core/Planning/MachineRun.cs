using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>A job on a machine: the distribution of its run time and the chances that follow from it.</summary>
internal sealed class MachineRun
{
    private readonly ScalingForecast _scaling;
    private readonly double _speed;
    private readonly double _sizeExponent;
    private readonly double[] _drawSeconds;
    private readonly double[]? _heavySeconds;
    private readonly RunTimeMixture _run;
    private readonly RunTimeMixture? _heavyRun;
    private readonly double _logNoise;
    private readonly (NightKind Night, double LogTime)[] _kinds;

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
        if (scaling.Growth is not null)
        {
            _sizeExponent = Log2(new RunTimeMixture(DrawSeconds(2), _logNoise).Quantile(0.5) / _run.Quantile(0.5));
            if (KnowsNightsByCurve && plan.Nights.HeavyShare > 0)
            {
                _heavySeconds = DrawSeconds(plan.Nights.HeavyFactor);
                _heavyRun = new RunTimeMixture(_heavySeconds, _logNoise);
            }
        }

        _kinds = [.. plan.Nights.Kinds.Select(night => (night, Log(NightTimeFactor(night))))];
    }

    public Plan Plan { get; }

    public MachineType Machine { get; }

    public double EffectiveCores { get; }

    public int DrawCount => _drawSeconds.Length;

    /// <summary>Run time of an ordinary night, seconds.</summary>
    public Band RunSeconds(double bandShare) => _run.Band(bandShare);

    /// <summary>Run time of a heavy night, seconds.</summary>
    public Band HeavyRunSeconds(double bandShare) =>
        _heavyRun?.Band(bandShare) ?? _run.Band(bandShare).Times(NightTimeFactor(new NightKind(1, Plan.Nights.HeavyFactor, true)));

    /// <summary>Seconds on the machine, with the planned input, for each second of a curve.</summary>
    public double SecondsOnMachine =>
        (_scaling.Growth is null ? Plan.InputWork.TimeFactor(Plan.InputFactor) : Pow(Plan.InputFactor, _sizeExponent)) / _speed;

    /// <summary>The run time with an input so many times the planned one, times that of the planned one: as runs of several
    /// sizes say in the middle, and by the plan's formula where there are none.</summary>
    public double TimeFactor(double input) => _scaling.Growth is null
        ? Plan.InputWork.TimeFactor(Plan.InputFactor * input) / Plan.InputWork.TimeFactor(Plan.InputFactor)
        : Pow(input, _sizeExponent);

    /// <summary>The run time of a kind of night with such an input, times that of a usual one with the planned input.</summary>
    public double NightTimeFactor(NightKind night, double input = 1) =>
        Plan.Nights.AreRunTimes ? TimeFactor(input) * night.Factor : TimeFactor(input * night.Factor);

    /// <summary>Chance that a night ends inside the window, with an input so many times the planned one.</summary>
    public double Chance(BatchWindow window, double input = 1)
    {
        double chance = 0;
        foreach (NightKind night in Plan.Nights.Kinds)
            chance += night.Share * ChanceOf(night, window, input);
        return chance;
    }

    /// <summary>That chance on heavy nights, or on the others; null where there are none.</summary>
    public double? ChanceOn(BatchWindow window, bool heavy)
    {
        double chance = 0, share = 0;
        foreach (NightKind night in Plan.Nights.Kinds.Where(night => night.IsHeavy == heavy))
        {
            chance += night.Share * ChanceOf(night, window, 1);
            share += night.Share;
        }

        return share > 0 ? chance / share : null;
    }

    /// <summary>That chance over all nights where one draw's curve is the true one.</summary>
    /// <param name="draw">Which draw.</param>
    /// <param name="window">The window.</param>
    /// <param name="logShift">What is known besides to add to the logarithm of its time.</param>
    /// <param name="variance">What knowing it takes from the variance of the logarithm.</param>
    public double ChanceGiven(int draw, BatchWindow window, double logShift = 0, double variance = 0)
    {
        double left = window.Seconds - Machine.StartUpSeconds;
        if (left <= 0)
            return 0;
        double noise = variance == 0 ? _logNoise : Sqrt(Max(0.1 * _logNoise * _logNoise, _logNoise * _logNoise - variance));
        double spare = Log(left / _drawSeconds[draw]) - logShift;
        double chance = 0;
        foreach ((NightKind night, double logTime) in _kinds)
        {
            double longer = _heavySeconds is not null && night.IsHeavy ? Log(_heavySeconds[draw] / _drawSeconds[draw]) : logTime;
            chance += night.Share * RunTimeMixture.StandardNormal((spare - longer) / noise);
        }

        return chance;
    }

    /// <summary>The longest run time, times what it is, that still meets the window's target where one draw's curve is the true one.</summary>
    public double LargestTimeFactorGiven(int draw, BatchWindow window)
    {
        double low = -20, high = 20;
        for (int step = 0; step < 24; step++)
        {
            double middle = 0.5 * (low + high);
            if (ChanceGiven(draw, window, middle) >= window.TargetChance)
                low = middle;
            else
                high = middle;
        }

        return Exp(low);
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

    /// <summary>With many kinds of nights, curves of runs of several sizes are followed by their middle only: each would be worked out anew.</summary>
    private bool KnowsNightsByCurve => _scaling.Growth is not null && !Plan.Nights.AreRunTimes && Plan.Nights.Kinds.Length <= 2;

    private double ChanceOf(NightKind night, BatchWindow window, double input)
    {
        double left = window.Seconds - Machine.StartUpSeconds;
        double size = input * night.Factor;
        if (!KnowsNightsByCurve || size == 1)
            return _run.ChanceWithin(left / NightTimeFactor(night, input));
        return (night.IsHeavy && input == 1 ? _heavyRun! : new RunTimeMixture(DrawSeconds(size), _logNoise)).ChanceWithin(left);
    }

    /// <summary>Seconds each curve gives for an input, times the planned one.</summary>
    private double[] DrawSeconds(double inputFactor)
    {
        double[] seconds = new double[_scaling.DrawCount];
        double size = Plan.InputFactor * inputFactor;
        _scaling.CurveSeconds(EffectiveCores, _scaling.Growth is null ? 1 : size, seconds);
        double factor = (_scaling.Growth is null ? Plan.InputWork.TimeFactor(size) : 1) / _speed;
        for (int draw = 0; draw < seconds.Length; draw++)
            seconds[draw] *= factor;
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
