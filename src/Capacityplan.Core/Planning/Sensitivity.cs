using System.Collections.Immutable;
using System.Text.Json.Serialization;
using Capacityplan.Core.Fitting;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>What an answer rests on.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<AnswerInput>))]
public enum AnswerInput
{
    /// <summary>T1, the span staying.</summary>
    [JsonStringEnumMemberName("work")] Work,

    /// <summary>T_inf, the work staying.</summary>
    [JsonStringEnumMemberName("span")] Span,

    /// <summary>Forks, joins, steals and contention.</summary>
    [JsonStringEnumMemberName("overhead")] Overhead,

    /// <summary>How runs scatter about their curve.</summary>
    [JsonStringEnumMemberName("noise")] Noise,

    /// <summary>The machines' start-up times.</summary>
    [JsonStringEnumMemberName("startUp")] StartUp,

    /// <summary>The price of the chosen machine alone.</summary>
    [JsonStringEnumMemberName("price")] Price,

    /// <summary>How large heavy nights are.</summary>
    [JsonStringEnumMemberName("heavyNights")] HeavyNights,

    /// <summary>How fast the input grows.</summary>
    [JsonStringEnumMemberName("growth")] Growth,
}

/// <summary>Where a change of an input moves the answer.</summary>
/// <param name="Factor">The input, times what it is.</param>
/// <param name="Machine">The machine chosen from there on; null where none holds.</param>
public sealed record Threshold(double Factor, string? Machine);

/// <summary>What an input does to the answer.</summary>
/// <param name="Input">The input.</param>
/// <param name="CostAtLess">Three years on the cheapest path with the input at 1/<see cref="Sensitivity.Reach"/> of what it is.</param>
/// <param name="CostAtMore">With it <see cref="Sensitivity.Reach"/> times what it is.</param>
/// <param name="TotalEffect">Its total-effect Sobol' index on that cost, all inputs varying over that range; 0 or more.</param>
/// <param name="Below">Where a smaller value moves the choice; null where nothing does down to half.</param>
/// <param name="Above">Where a larger one does; null where nothing does up to twice.</param>
public sealed record InputEffect(AnswerInput Input, decimal CostAtLess, decimal CostAtMore, double TotalEffect, Threshold? Below, Threshold? Above)
{
    /// <summary>How far apart the two costs are.</summary>
    public decimal Swing => Math.Abs(CostAtMore - CostAtLess);
}

/// <summary>What would change the answer, and by how much it must change before another machine wins.</summary>
/// <remarks>
/// The result looked at is what three years cost on the cheapest path; a month in which no machine holds counts the one whose
/// chance comes closest. Each input is a factor of what it is: evenly spread in its logarithm from 1/<see cref="Reach"/> to
/// <see cref="Reach"/>, the same for all, since how far off an input is only its owner knows. Bars change one input at a time;
/// total effects all (<see cref="SobolIndices"/>), on few points. Thresholds: the
/// choice today (for growth, in a year) is looked at on a grid of factors from a half to twice, and the first change is
/// narrowed by bisection.
/// </remarks>
public sealed record Sensitivity
{
    /// <summary>Each input is varied by so many times either way; an assumption, shown on the page.</summary>
    public const double Reach = 1.25;

    /// <summary>Thresholds are looked for up to so many times either way.</summary>
    public const double Farthest = 2;

    /// <summary>Growth decides nothing today: its threshold is that of the machine in a year.</summary>
    public const int GrowthMonth = 12;

    private const int GridSteps = 8;

    private const int Bisections = 9;

    /// <summary>The inputs, the one that moves the cost most first.</summary>
    public required ImmutableArray<InputEffect> Inputs { get; init; }

    /// <summary>What three years cost as planned.</summary>
    public required decimal BaseCost { get; init; }

    /// <summary>The machine chosen today; null where none holds.</summary>
    public required string? Choice { get; init; }

    /// <summary>The currency of the costs.</summary>
    public required string Currency { get; init; }

    /// <summary>Works it out; null without a window, or without machines that fit.</summary>
    /// <param name="result">What the plan comes to.</param>
    /// <param name="scaling">How its job scales, as the result was worked out with.</param>
    /// <param name="progress">Told the share of the work that is done.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static Sensitivity? Of(PlanResult result, ScalingForecast scaling, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(result);
        if (result.Plan.Window is null || SensitivityModel.Able(result).Length == 0)
            return null;
        Plan plan = result.Plan;
        AnswerInput[] inputs = [.. Enum.GetValues<AnswerInput>().Where(input => input switch
        {
            AnswerInput.Growth => plan.Growth.Changes,
            AnswerInput.HeavyNights => plan.Nights.HeavyShare > 0,
            AnswerInput.StartUp => result.Machines.Any(outcome => outcome.Machine.StartUpSeconds > 0),
            AnswerInput.Span => scaling.SpanSeconds > 0,
            _ => true,
        })];
        // A chance near its target decides: with a part of the curves it may fall on the other side of it.
        var model = new SensitivityModel(result, scaling, curves: 12_000);
        int samples = Clamp(8_000 / (model.Work * (inputs.Length + 2)), 16, 64);
        SobolIndices indices = SobolIndices.Estimate(
            inputs.Length, samples, result.Seed, point => model.CostOfPath(Factors(inputs, at => Pow(Reach, 2 * point[at] - 1))),
            new Share(progress, 0, 0.6), cancellation);
        var effects = new List<InputEffect>();
        double[] still = Factors(inputs, _ => 1);
        string? choice = model.ChoiceAt(still, 0);
        for (int at = 0; at < inputs.Length; at++)
        {
            int changed = at;
            double[] With(double factor) => Factors(inputs, other => other == changed ? factor : 1);
            int month = inputs[at] == AnswerInput.Growth ? GrowthMonth : 0;
            string? now = month == 0 ? choice : model.ChoiceAt(still, month);
            effects.Add(new InputEffect(
                inputs[at], (decimal)model.CostOfPath(With(1 / Reach)), (decimal)model.CostOfPath(With(Reach)), indices.Total[at],
                Change(factor => model.ChoiceAt(With(factor), month), now, 1 / Farthest, cancellation),
                Change(factor => model.ChoiceAt(With(factor), month), now, Farthest, cancellation)));
            progress?.Report(0.6 + 0.4 * (at + 1) / inputs.Length);
        }

        return new Sensitivity
        {
            Inputs = [.. effects.OrderByDescending(effect => effect.Swing).ThenByDescending(effect => effect.TotalEffect).ThenBy(effect => effect.Input)],
            BaseCost = (decimal)model.CostOfPath(still),
            Choice = choice,
            Currency = model.Currency,
        };
    }

    /// <summary>A factor for every input there is; 1 for those that are not looked at.</summary>
    private static double[] Factors(AnswerInput[] inputs, Func<int, double> of)
    {
        double[] factors = new double[Enum.GetValues<AnswerInput>().Length];
        Array.Fill(factors, 1);
        for (int at = 0; at < inputs.Length; at++)
            factors[(int)inputs[at]] = of(at);
        return factors;
    }

    private static Threshold? Change(Func<double, string?> choiceAt, string? now, double farthest, CancellationToken cancellation)
    {
        double within = 0;
        for (int step = 1; step <= GridSteps; step++)
        {
            cancellation.ThrowIfCancellationRequested();
            double past = (double)step / GridSteps;
            if (choiceAt(Pow(farthest, past)) == now)
            {
                within = past;
                continue;
            }

            for (int halving = 0; halving < Bisections; halving++)
            {
                double middle = 0.5 * (within + past);
                if (choiceAt(Pow(farthest, middle)) == now)
                    within = middle;
                else
                    past = middle;
            }

            return new Threshold(Pow(farthest, past), choiceAt(Pow(farthest, past)));
        }

        return null;
    }

    private sealed class Share(IProgress<double>? whole, double from, double to) : IProgress<double>
    {
        public void Report(double value) => whole?.Report(from + (to - from) * value);
    }
}
