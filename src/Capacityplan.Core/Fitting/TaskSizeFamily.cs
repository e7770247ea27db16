using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Fitting;

/// <summary>A kind of distribution task durations are fitted with.</summary>
public enum TaskSizeFamily
{
    /// <summary>All equal: <see cref="ConstantSizes"/>.</summary>
    Constant,

    /// <summary><see cref="UniformSizes"/>.</summary>
    Uniform,

    /// <summary><see cref="ExponentialSizes"/>.</summary>
    Exponential,

    /// <summary><see cref="GammaSizes"/>.</summary>
    Gamma,

    /// <summary><see cref="LognormalSizes"/>.</summary>
    Lognormal,

    /// <summary><see cref="BoundedParetoSizes"/>.</summary>
    BoundedPareto,
}

/// <summary>A distribution fitted to a sample of task durations, and how near it comes.</summary>
/// <param name="Family">Its kind.</param>
/// <param name="Sizes">The distribution with the most likely parameters.</param>
/// <param name="Parameters">How many parameters were fitted.</param>
/// <param name="LogLikelihood">Natural logarithm of the likelihood, durations in seconds.</param>
/// <param name="Aicc">Akaike's criterion corrected for the sample's size; the smaller the better. It depends on the unit, its
/// differences do not.</param>
/// <param name="Weight">Akaike weight among the distributions offered; they add up to 1.</param>
/// <param name="LargestGap">Largest distance between the two cumulative curves, from 0 to 1.</param>
/// <param name="MeanError">Mean of the distribution over mean of the sample, less 1.</param>
/// <param name="LongestError">The same for the mean longest of <see cref="TaskSizeFit.LongestOf"/> tasks.</param>
public sealed record FittedTaskSizes(
    TaskSizeFamily Family, TaskSizes Sizes, int Parameters, double LogLikelihood, double Aicc, double Weight, double LargestGap, double MeanError, double LongestError);

/// <summary>A kind of distribution that was not fitted, and why.</summary>
/// <param name="Family">The kind.</param>
/// <param name="Reason">Why not; a plain sentence.</param>
public sealed record FamilyLeftOut(TaskSizeFamily Family, string Reason);

/// <summary>A point of a quantile-quantile plot. Seconds.</summary>
/// <param name="Share">Share of the tasks that are no longer, from 0 to 1: (rank - 1/2)/count, the plotting position of A. Hazen.</param>
/// <param name="Sample">The sample's duration at that rank.</param>
/// <param name="Fitted">The fitted distribution's.</param>
public readonly record struct QuantilePoint(double Share, double Sample, double Fitted);
