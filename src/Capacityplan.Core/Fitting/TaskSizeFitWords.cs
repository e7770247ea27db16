using System.Globalization;

namespace Capacityplan.Core.Fitting;

/// <summary>Says the verdict of a fit in plain words.</summary>
public static class TaskSizeFitWords
{
    // Below this many values several families usually pass.
    private const int FewValues = 50;

    // "0 %" would claim more than any fit can.
    private const double LeastSaid = 0.001;

    /// <summary>What a kind of distribution is called in a sentence.</summary>
    /// <param name="family">The kind.</param>
    public static string Name(TaskSizeFamily family) => family switch
    {
        TaskSizeFamily.Constant => "constant",
        TaskSizeFamily.Uniform => "uniform",
        TaskSizeFamily.Exponential => "exponential",
        TaskSizeFamily.Gamma => "gamma",
        TaskSizeFamily.Lognormal => "lognormal",
        TaskSizeFamily.BoundedPareto => "bounded Pareto",
        _ => throw new ArgumentOutOfRangeException(nameof(family), family, "No such family."),
    };

    internal static string Sentence(TaskSizeFit fit)
    {
        if (fit.Candidates.IsEmpty || fit.Judgement is null)
            return $"{Values(fit.Count)} {(fit.Count == 1 ? "is" : "are")} too few to fit a distribution, using the sample itself.";
        FittedTaskSizes first = fit.Candidates[0];
        if (first.Family == TaskSizeFamily.Constant)
            return fit.Count == 1 ? "One value only: every task is taken to last as long. Give more values to see how tasks differ." : "All tasks last equally long.";
        if (fit.Best is null)
            return $"None fits well, using the sample itself: {Against(fit, first)}.{Zeros(fit)}";

        string others = fit.AlmostAsGood.IsEmpty ? "" : $" {Capital(string.Join(" and ", fit.AlmostAsGood.Select(Name)))} would do about as well.";
        string few = fit.Count < FewValues ? $" {Values(fit.Count)} cannot rule out much else." : "";
        return $"{Article(first.Family)} {Name(first.Family)} distribution fits well: its curve is nowhere more than {Percent(Math.Max(first.LargestGap, LeastSaid))} of the tasks off.{others}{few}";
    }

    private static string Against(TaskSizeFit fit, FittedTaskSizes first)
    {
        string name = $"the nearest, {Name(first.Family)},";
        if (!fit.Judgement!.IsGapFine)
            return $"{name} puts up to {Percent(first.LargestGap)} of the tasks on the wrong side of a duration";
        return !fit.Judgement.IsMeanFine
            ? $"{name} takes the mean task {Over(first.MeanError)}"
            : $"{name} takes the longest of {fit.LongestOf.ToString("#,0", CultureInfo.InvariantCulture)} tasks {Over(first.LongestError)}";
    }

    private static string Zeros(TaskSizeFit fit)
    {
        string[] names = [.. fit.LeftOut.Where(one => one.Reason == TaskSizeLikelihoods.HasZeros).Select(one => Name(one.Family))];
        return names.Length == 0 ? "" : $" Some durations are 0, so {string.Join(", ", names[..^1])} and {names[^1]} were not tried.";
    }

    private static string Over(double error) => error >= 0
        ? error < 1 ? $"{Percent(error)} too long" : $"{(error + 1).ToString("#,0.#", CultureInfo.InvariantCulture)} times too long"
        : $"{Percent(-error)} too short";

    private static string Values(int count) => count == 1 ? "1 value" : $"{count.ToString("#,0", CultureInfo.InvariantCulture)} values";

    private static string Percent(double share) => (100 * share).ToString(share < 0.1 ? "0.#" : "0", CultureInfo.InvariantCulture) + " %";

    private static string Article(TaskSizeFamily family) => family == TaskSizeFamily.Exponential ? "An" : "A";

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
