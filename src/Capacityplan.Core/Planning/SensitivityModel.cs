using Capacityplan.Core.Fitting;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>An answer as a function of factors on its inputs, quick enough to be asked thousands of times.</summary>
internal sealed class SensitivityModel
{
    /// <summary>An input so many times today's no machine bears; what more of it would cost is no amount of money.</summary>
    private const double MostInput = 1e6;

    private readonly Plan _plan;
    private readonly BatchWindow _window;
    private readonly MachineOutcome[] _offers;
    private readonly Carrier[] _carriers;
    private readonly int[] _carrierOf;
    private readonly int _chosen;

    /// <param name="result">What the plan comes to; with a window and a machine that fits.</param>
    /// <param name="scaling">How its job scales.</param>
    /// <param name="curves">About so many curves, over all machines.</param>
    public SensitivityModel(PlanResult result, ScalingForecast scaling, int curves)
    {
        _plan = result.Plan;
        _window = result.Plan.Window!;
        _offers = Able(result);
        var offerRuns = new OfferRuns(result, scaling);
        MachineRun[] runs = [.. _offers.Select(offerRuns.Of).Distinct((IEqualityComparer<MachineRun>)ReferenceEqualityComparer.Instance)];
        int stride = Max(1, scaling.DrawCount * runs.Length / curves);
        var all = new CurveParts[scaling.DrawCount];
        _carriers = [.. runs.Select(run =>
        {
            scaling.CurveParts(run.EffectiveCores, all);
            CurveParts[] some = [.. all.Where((_, draw) => draw % stride == 0)];
            return new Carrier(
                run.Machine, run, run.SecondsOnMachine, some, scaling.LogNoise(run.EffectiveCores),
                run.Interruptions is { } interruptions ? offerRuns.SimulationOf(interruptions) : null);
        })];
        _carrierOf = [.. _offers.Select(offer => Array.IndexOf(runs, offerRuns.Of(offer)))];
        MachineOutcome? choice = result.Verdict is { State: VerdictState.Holds, Choice: { } chosen } ? chosen : null;
        _chosen = Array.FindIndex(_offers, offer => choice is not null && ReferenceEquals(offer.Machine, choice.Machine) && offer.Purchase == choice.Purchase);
    }

    /// <summary>The currency of its costs.</summary>
    public string Currency => _offers[0].Currency;

    /// <summary>About how much work one answer is, in machines times kinds of nights.</summary>
    public int Work => _carriers.Length * (1 + _plan.Nights.Kinds.Length / 2);

    /// <summary>The offers that are compared: those that fit, in the currency that most are in.</summary>
    public static MachineOutcome[] Able(PlanResult result)
    {
        MachineOutcome[] fitting = [.. result.Machines.Where(outcome => outcome.Fits && outcome.Finishes)];
        string? currency = fitting.GroupBy(outcome => outcome.Currency).MaxBy(group => group.Count())?.Key;
        return [.. fitting.Where(outcome => outcome.Currency == currency)];
    }

    /// <summary>The machine chosen in a month, with its way to pay where it is offered in several; null where none holds.</summary>
    /// <param name="factors">A factor for each <see cref="AnswerInput"/>.</param>
    /// <param name="month">Months from now; 0 or more.</param>
    public string? ChoiceAt(double[] factors, int month)
    {
        Levered[] levered = Pull(factors);
        double input = Growth(factors).FactorAt(month);
        int cheapest = -1;
        double least = 0;
        for (int offer = 0; offer < _offers.Length; offer++)
        {
            Levered on = levered[_carrierOf[offer]];
            if (on.Chance(input) < _window.TargetChance)
                continue;
            double cost = CostOfMonth(offer, on, input, factors);
            if (cheapest < 0 || cost < least)
                (cheapest, least) = (offer, cost);
        }

        return cheapest < 0 ? null : _offers[cheapest].Name;
    }

    /// <summary>What three years cost on the cheapest path.</summary>
    /// <param name="factors">A factor for each <see cref="AnswerInput"/>.</param>
    public double CostOfPath(double[] factors)
    {
        Levered[] levered = Pull(factors);
        ExpectedGrowth growth = Growth(factors);
        int months = growth.Changes ? GrowthOutlook.PathMonths : 1;
        double[] inputs = [.. Enumerable.Range(0, months).Select(month => Min(MostInput, growth.FactorAt(month)))];
        bool[][] holds = [.. levered.Select(on => Held(on, inputs))];
        double sum = 0;
        for (int month = 0; month < months; month++)
        {
            double least = double.PositiveInfinity, closest = -1, cost = 0;
            for (int offer = 0; offer < _offers.Length; offer++)
            {
                if (holds[_carrierOf[offer]][month])
                    least = Min(least, CostOfMonth(offer, levered[_carrierOf[offer]], inputs[month], factors));
            }

            for (int offer = 0; least == double.PositiveInfinity && offer < _offers.Length; offer++)
            {
                Levered on = levered[_carrierOf[offer]];
                if (on.Chance(inputs[month]) is var chance && chance > closest)
                    (closest, cost) = (chance, CostOfMonth(offer, on, inputs[month], factors));
            }

            sum += least == double.PositiveInfinity ? cost : least;
        }

        return sum * GrowthOutlook.PathMonths / months;
    }

    /// <summary>In which months a machine holds; where the input never falls, up to one of them.</summary>
    private bool[] Held(Levered on, double[] inputs)
    {
        bool[] holds = new bool[inputs.Length];
        bool ascends = true;
        for (int month = 1; month < inputs.Length; month++)
            ascends &= inputs[month] >= inputs[month - 1];
        if (!ascends)
            return [.. inputs.Select(input => on.Chance(input) >= _window.TargetChance)];
        int held = 0, missed = inputs.Length;
        while (held < missed)
        {
            int middle = (held + missed) / 2;
            if (on.Chance(inputs[middle]) >= _window.TargetChance)
                held = middle + 1;
            else
                missed = middle;
        }

        Array.Fill(holds, true, 0, held);
        return holds;
    }

    private ExpectedGrowth Growth(double[] factors) =>
        factors[(int)AnswerInput.Growth] is var faster && faster == 1 ? _plan.Growth : _plan.Growth.Faster(faster);

    private double CostOfMonth(int offer, Levered on, double input, double[] factors)
    {
        double run = on.MedianSeconds * on.Carrier.Machine.TimeFactor(input);
        double cost = (double)_offers[offer].CostOfMonth(_plan, on.Carrier.Machine.HeldSeconds(run) + on.StartUpSeconds - on.Carrier.Type.StartUpSeconds);
        return offer == _chosen ? cost * factors[(int)AnswerInput.Price] : cost;
    }

    private Levered[] Pull(double[] factors) => [.. _carriers.Select(carrier => new Levered(carrier, factors, _window, _plan.Nights))];

    /// <summary>A machine and the curves of the job on it.</summary>
    /// <param name="Type">The machine.</param>
    /// <param name="Machine">The job on it.</param>
    /// <param name="Factor">Seconds on it for each second of a curve.</param>
    /// <param name="Parts">The curves there.</param>
    /// <param name="LogNoise">The scatter about them.</param>
    /// <param name="Interrupted">What interrupts it; null where nothing does.</param>
    private sealed record Carrier(MachineType Type, MachineRun Machine, double Factor, CurveParts[] Parts, double LogNoise, InterruptedRuns? Interrupted)
    {
        /// <summary>The curves with factors on them.</summary>
        public PulledCurves Curves { get; } = new(Parts, Factor, Machine.EffectiveCores, LogNoise);
    }

    /// <summary>The same with factors on it.</summary>
    private sealed class Levered
    {
        private readonly BatchWindow _window;
        private readonly Nights _nights;
        private readonly double _heavier;
        private readonly PulledRun _pulled;

        public Levered(Carrier carrier, double[] factors, BatchWindow window, Nights nights)
        {
            (Carrier, _window, _nights) = (carrier, window, nights);
            _heavier = factors[(int)AnswerInput.HeavyNights];
            StartUpSeconds = carrier.Type.StartUpSeconds * factors[(int)AnswerInput.StartUp];
            _pulled = carrier.Curves.With(
                factors[(int)AnswerInput.Work], factors[(int)AnswerInput.Span], factors[(int)AnswerInput.Overhead], factors[(int)AnswerInput.Noise]);
        }

        public Carrier Carrier { get; }

        public RunTimeMixture Run => _pulled.Run;

        public double MedianSeconds => _pulled.MedianSeconds;

        public double StartUpSeconds { get; }

        public double Chance(double input)
        {
            double chance = 0;
            foreach (NightKind kind in _nights.Kinds)
            {
                NightKind night = kind.IsHeavy && _heavier != 1 ? kind with { Factor = kind.Factor * _heavier } : kind;
                chance += kind.Share * ChanceAt(Carrier.Machine.NightTimeFactor(night, input));
            }

            return chance;
        }

        private double ChanceAt(double timeFactor)
        {
            double left = _window.Seconds - StartUpSeconds, usual = _window.Seconds - Carrier.Type.StartUpSeconds;
            // What interruptions leave of another start-up's window is what they leave of the usual one's, in proportion: it is
            // asked for thousands of start-ups.
            return Carrier.Interrupted is { } interrupted && left > 0 && usual > 0
                ? MachineRun.ChanceOf(Run, timeFactor * usual / left, usual, interrupted)
                : MachineRun.ChanceOf(Run, timeFactor, left, null);
        }
    }
}
