using Capacityplan.Core.Fitting;
using MathNet.Numerics.Distributions;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>Whether measuring more would change the machine chosen.</summary>
/// <param name="Cores">The core count the next runs are taken to be on.</param>
/// <param name="StaysAfterOne">In what share of outcomes of one more run there the choice stays; from 0 to 1.</param>
/// <param name="StaysAfterTwo">The same for two more runs, each in a sitting of its own.</param>
public sealed record MeasurementOutlook(int Cores, double StaysAfterOne, double StaysAfterTwo)
{
    /// <summary>From this share on measuring more is taken not to change the choice.</summary>
    public const double EnoughFrom = 0.95;

    /// <summary>Whether what was measured is enough for the choice.</summary>
    public bool IsEnough => StaysAfterOne >= EnoughFrom && StaysAfterTwo >= EnoughFrom;

    /// <summary>The same in a sentence.</summary>
    /// <param name="choice">The machine chosen; null where none holds.</param>
    public string Sentence(string? choice)
    {
        string stays = choice is null ? "the answer, that none holds, stays" : $"{choice} stays the choice";
        string on = Cores == 1 ? "1 core" : $"{Figures.Count(Cores)} cores";
        return IsEnough
            ? $"Measuring more would hardly change the choice: after two more runs on {on} {stays} in {Figures.ChanceBrief(StaysAfterTwo)} of 100 outcomes."
            : $"Measuring more may change the choice: after one more run on {on} {stays} in {Figures.ChanceBrief(StaysAfterOne)} of 100 outcomes, after two in {Figures.ChanceBrief(StaysAfterTwo)}.";
    }
}

/// <summary>
/// Pre-posterior analysis by simulation: each curve in turn is the true one and gives the outcome of the next run, noise
/// included; the curves are weighed anew by how likely they make it, and the cheapest machine that holds is chosen again.
/// </summary>
/// <remarks>Raiffa and Schlaifer, "Applied Statistical Decision Theory", Harvard 1961; from memory. The order of machines by
/// cost is kept, since a curve moves all of them together.</remarks>
internal sealed class OutlookSimulation
{
    private const int Outcomes = 60;
    private const int MostDraws = 125;

    private readonly MachineRun[] _runs;
    private readonly MachineRun? _chosen;
    private readonly BatchWindow _window;
    private readonly int[] _draws;

    /// <param name="priced">Offers in the order of their cost.</param>
    /// <param name="choice">The one chosen; null where none holds.</param>
    /// <param name="window">The window.</param>
    public OutlookSimulation(IEnumerable<Offer> priced, Offer? choice, BatchWindow window)
    {
        _window = window;
        _chosen = choice?.Run;
        Offer[] able = [.. priced.Where(offer => offer.IsAble)];
        int draws = able.Length == 0 ? 0 : able[0].Run.DrawCount;
        int stride = Max(1, draws / MostDraws);
        _draws = [.. Enumerable.Range(0, draws / stride).Select(i => i * stride)];
        // A machine that no curve lets hold, and a dearer way to pay for one, is never chosen; what is dearer than the choice
        // does not matter to whether it stays.
        MachineRun[] distinct = [.. able.Select(offer => offer.Run).Distinct()];
        int last = _chosen is null ? distinct.Length : Array.IndexOf(distinct, _chosen) + 1;
        _runs = [.. distinct.Take(last).Where(run => run == _chosen || _draws.Any(draw => run.HoldsGiven(draw, window)))];
    }

    /// <summary>Whether there is anything to choose from.</summary>
    public bool HasChoice => _runs.Length > 0;

    /// <summary>In what share of outcomes the choice stays.</summary>
    /// <param name="scaling">The job.</param>
    /// <param name="cores">The core count of the next runs.</param>
    /// <param name="runs">How many, each in a sitting of its own; 1 or more.</param>
    /// <param name="cancellation">Stops the work.</param>
    public double ShareStays(ScalingForecast scaling, int cores, int runs, CancellationToken cancellation)
    {
        double coresWorth = cores;
        double[] all = new double[scaling.DrawCount];
        scaling.CurveSeconds(coresWorth, all);
        double[] logs = [.. _draws.Select(draw => Log(all[draw]))];
        double shared = scaling.SharedLogVariance(coresWorth, coresWorth);
        double variance = shared + (Pow(scaling.LogNoise(coresWorth), 2) - shared) / runs;
        double[] follow = [.. _runs.Select(run => scaling.SharedLogVariance(coresWorth, run.EffectiveCores) / variance)];
        double[] weights = new double[_draws.Length];
        int stays = 0;
        for (int outcome = 0; outcome < Outcomes; outcome++)
        {
            cancellation.ThrowIfCancellationRequested();
            double seen = logs[(int)((outcome + 0.5) * logs.Length / Outcomes)] + Sqrt(variance) * Deviate(outcome);
            double sum = 0;
            for (int draw = 0; draw < weights.Length; draw++)
                sum += weights[draw] = Exp(-0.5 * Pow(seen - logs[draw], 2) / variance);
            stays += Choose(seen, logs, weights, sum, follow, variance) == _chosen ? 1 : 0;
        }

        return (double)stays / Outcomes;
    }

    private MachineRun? Choose(double seen, double[] logs, double[] weights, double sum, double[] follow, double variance)
    {
        // Once more is missed than the target spares, and than rounding, the other curves cannot make up for it.
        double spare = (1 - _window.TargetChance + 1e-9) * sum;
        for (int index = 0; index < _runs.Length; index++)
        {
            double chance = 0, missed = 0;
            for (int draw = 0; draw < weights.Length && missed <= spare; draw++)
            {
                // Curves far from the outcome add nothing.
                double held = weights[draw] > 1e-6 * sum
                    ? _runs[index].ChanceGiven(_draws[draw], _window, follow[index] * (seen - logs[draw]), follow[index] * follow[index] * variance)
                    : 0;
                chance += weights[draw] * held;
                missed += weights[draw] * (1 - held);
            }

            if (missed <= spare && chance / sum >= _window.TargetChance)
                return _runs[index];
        }

        return null;
    }

    /// <summary>Standard normal deviates that fill their range evenly.</summary>
    private static double Deviate(int outcome)
    {
        const double Golden = 0.618_033_988_749_894_9;
        double place = 0.5 + (outcome + 1) * Golden;
        return Normal.InvCDF(0, 1, Clamp(place - Floor(place), 0.001, 0.999));
    }
}
