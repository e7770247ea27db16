using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>A job on a machine: the distribution of its run time and the chances that follow from it, interruptions counted
/// where the way to pay for it brings them.</summary>
internal sealed class MachineRun
{
    private readonly ScalingForecast _scaling;
    private readonly RunsOnCores _runs;
    private readonly double _speed;
    private readonly double _logSpeed;
    private readonly (NightKind Night, double LogTime)[] _kinds;
    private readonly InterruptedRuns? _interrupted;

    /// <param name="plan">The job.</param>
    /// <param name="scaling">How it scales on the machine it was described for.</param>
    /// <param name="machine">The machine.</param>
    /// <param name="runs">The job on as many cores' worth.</param>
    public MachineRun(Plan plan, ScalingForecast scaling, MachineType machine, RunsOnCores runs)
    {
        (Plan, Machine, _scaling, _runs) = (plan, machine, scaling, runs);
        _speed = machine.RelativeCoreSpeed / plan.MeasuredOn.RelativeCoreSpeed;
        _logSpeed = Log(_speed);
        _kinds = [.. plan.Nights.Kinds.Select(night => (night, Log(NightTimeFactor(night))))];
    }

    private MachineRun(MachineRun plain, InterruptedRuns interrupted)
    {
        (Plan, Machine, _scaling, _runs) = (plain.Plan, plain.Machine, plain._scaling, plain._runs);
        (_speed, _logSpeed, _kinds, _interrupted) = (plain._speed, plain._logSpeed, plain._kinds, interrupted);
    }

    /// <summary>The same runs with interruptions.</summary>
    public MachineRun Interrupted(InterruptedRuns interrupted) => new(this, interrupted);

    public Plan Plan { get; }

    public MachineType Machine { get; }

    public double EffectiveCores => _runs.Cores;

    public int DrawCount => _runs.Seconds.Length;

    /// <summary>Its interruptions; null where there are none.</summary>
    public Interruptions? Interruptions => _interrupted?.Interruptions;

    /// <summary>Run time of an ordinary night without interruptions, seconds.</summary>
    public Band RunSeconds(double bandShare) => _runs.Band(bandShare).Times(1 / _speed);

    /// <summary>Start-up and run of an ordinary night, interruptions counted, seconds.</summary>
    /// <param name="run"><see cref="RunSeconds"/> of the same share.</param>
    /// <param name="bandShare">The central share the band holds.</param>
    public Band StartToFinishSeconds(Band run, double bandShare) =>
        (_interrupted is null ? run : _runs.Sample.Interrupted(_interrupted, run, bandShare, 1 / _speed)).Plus(Machine.StartUpSeconds);

    /// <summary>The same of a heavy night.</summary>
    /// <param name="run"><see cref="RunSeconds"/> of the same share.</param>
    /// <param name="bandShare">The central share the band holds.</param>
    public Band HeavyStartToFinishSeconds(Band run, double bandShare)
    {
        double factor = _runs.HeavyRun is null ? NightTimeFactor(new NightKind(1, Plan.Nights.HeavyFactor, true)) : 1;
        Band heavy = _runs.HeavyBand(bandShare)?.Times(1 / _speed) ?? run.Times(factor);
        if (_interrupted is not null)
            heavy = (_runs.HeavySample ?? _runs.Sample).Interrupted(_interrupted, heavy, bandShare, factor / _speed);
        return heavy.Plus(Machine.StartUpSeconds);
    }

    /// <summary>Seconds a run is paid for: start-up and a run of a stated time, lengthened by its interruptions on average, since
    /// a month's bill is a sum over runs. At most <see cref="PurchaseOption.MostHeldSeconds"/>.</summary>
    /// <param name="runSeconds">The run without interruptions, seconds.</param>
    public double HeldSeconds(double runSeconds) => Min(
        PurchaseOption.MostHeldSeconds, Machine.StartUpSeconds + (_interrupted?.Interruptions.ExpectedSeconds(runSeconds) ?? runSeconds));

    /// <summary>Interruptions of a run of a stated time, on average; null where there are none. At most what
    /// <see cref="PurchaseOption.MostHeldSeconds"/> bring.</summary>
    /// <param name="runSeconds">The run without interruptions, seconds.</param>
    public double? ExpectedInterruptions(double runSeconds) => _interrupted is null ? null : Min(
        PurchaseOption.MostHeldSeconds, _interrupted.Interruptions.ExpectedSeconds(runSeconds)) / _interrupted.Interruptions.MeanSecondsBetween;

    /// <summary>Seconds on the machine, with the planned input, for each second of a curve.</summary>
    public double SecondsOnMachine =>
        (_scaling.Growth is null ? Plan.InputWork.TimeFactor(Plan.InputFactor) : Pow(Plan.InputFactor, _runs.SizeExponent)) / _speed;

    /// <summary>The run time with an input so many times the planned one, times that of the planned one: as runs of several
    /// sizes say in the middle, and by the plan's formula where there are none.</summary>
    public double TimeFactor(double input) => _scaling.Growth is null
        ? Plan.InputWork.TimeFactor(Plan.InputFactor * input) / Plan.InputWork.TimeFactor(Plan.InputFactor)
        : Pow(input, _runs.SizeExponent);

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
        double logNoise = _runs.LogNoise;
        double noise = variance == 0 ? logNoise : Sqrt(Max(0.1 * logNoise * logNoise, logNoise * logNoise - variance));
        double usual = _runs.LogSeconds[draw] - _logSpeed + logShift;
        if (_interrupted is null)
            return ChanceGiven(draw, Log(left) - usual, noise);
        double held = 0;
        foreach (WeighedSeconds done in _interrupted.AboutDoneWithin(left))
            held += done.Share * ChanceGiven(draw, done.LogSeconds - usual, noise);
        return held;
    }

    /// <summary>Whether that chance reaches the window's target.</summary>
    /// <param name="draw">Which draw.</param>
    /// <param name="window">The window.</param>
    /// <param name="logShift">What is to be added to the logarithm of its time.</param>
    public bool HoldsGiven(int draw, BatchWindow window, double logShift = 0)
    {
        double left = window.Seconds - Machine.StartUpSeconds;
        // Interruptions only take from the chance: where it is too small without them, they need not be followed.
        return left > 0 && ChanceGiven(draw, Log(left) - _runs.LogSeconds[draw] + _logSpeed - logShift, _runs.LogNoise) >= window.TargetChance
            && (_interrupted is null || ChanceGiven(draw, window, logShift) >= window.TargetChance);
    }

    /// <param name="draw">Which draw.</param>
    /// <param name="spare">Natural logarithm of the time there is over that of a usual night.</param>
    /// <param name="noise">The scatter about the curve.</param>
    private double ChanceGiven(int draw, double spare, double noise)
    {
        double chance = 0;
        foreach ((NightKind night, double logTime) in _kinds)
        {
            double longer = night.IsHeavy && _runs.HeavyLonger is { } heavier ? heavier[draw] : logTime;
            chance += night.Share * NormalTable.ChanceWithin((spare - longer) / noise);
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
            if (HoldsGiven(draw, window, middle))
                low = middle;
            else
                high = middle;
        }

        return Exp(low);
    }

    /// <summary>Seconds a run is paid for where one draw's curve is the true one.</summary>
    public double HeldSecondsGiven(int draw) => HeldSeconds(_runs.Seconds[draw] / _speed);

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
        return Exp(Falling.LastAtLeast(
            logInput => Chance(window, Exp(logInput)), window.TargetChance, Log(low), Log(high), _scaling.Growth is null ? 1e-9 : 2e-4));
    }

    private double ChanceOf(NightKind night, BatchWindow window, double input)
    {
        double left = window.Seconds - Machine.StartUpSeconds;
        double size = input * night.Factor;
        if (!_runs.KnowsNightsByCurve || size == 1)
            return ChanceOf(_runs.Run, NightTimeFactor(night, input), left);
        return ChanceOf(night.IsHeavy && input == 1 ? _runs.HeavyRun! : new RunTimeMixture(_runs.CurveSeconds(size), _runs.LogNoise), 1, left);
    }

    /// <summary>Chance that a run, lengthened by a factor and by interruptions, takes at most so long.</summary>
    private double ChanceOf(RunTimeMixture run, double factor, double left) => ChanceOf(run, factor / _speed, left, _interrupted);

    /// <summary>The same with other interruptions, or none.</summary>
    internal static double ChanceOf(RunTimeMixture run, double factor, double left, InterruptedRuns? interrupted)
    {
        if (interrupted is null || left <= 0)
            return run.ChanceWithin(left / factor);
        double chance = 0, logFactor = Log(factor);
        foreach (WeighedSeconds done in interrupted.LongestDoneWithin(left))
            chance += done.Share * run.NearChanceWithin(done.LogSeconds - logFactor);
        return chance;
    }

    /// <summary>The window that would meet a target, seconds; null where none up to <see cref="PurchaseOption.MostHeldSeconds"/> does.</summary>
    public double? WindowFor(double targetChance)
    {
        double low = 0, high = 1;
        while (Chance(new BatchWindow(high)) < targetChance)
        {
            if (high > PurchaseOption.MostHeldSeconds)
                return null;
            (low, high) = (high, high * 2);
        }

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
