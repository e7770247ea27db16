using Capacityplan.Core.Jobs;
using MathNet.Numerics;

namespace Capacityplan.Core.Fitting;

/// <summary>Maximum likelihood for each family of task sizes.</summary>
/// <remarks>
/// Uniform: the extremes. Exponential: the mean. Lognormal: mean and spread of the logarithms. Gamma: log k - digamma(k) = log
/// mean - mean log, solved by Newton steps from H. C. S. Thom, "A Note on the Gamma Distribution", Monthly Weather Review 86
/// (1958). Bounded Pareto: I. B. Aban, M. M. Meerschaert and A. K. Panorska, "Parameter Estimation for the Truncated Pareto
/// Distribution", JASA 101 (2006): both ends are the extremes, and the exponent solves their score equation.
/// </remarks>
internal static class TaskSizeLikelihoods
{
    /// <summary>Why the families without a duration of 0 are left out.</summary>
    public const string HasZeros = "Some durations are 0, which it cannot give.";

    /// <summary>Durations that differ by less than this share are equal but for rounding.</summary>
    private const double Rounding = 1e-9;

    // The ranges of LognormalSizes and BoundedParetoSizes.
    private const double MostMu = 100;
    private const double MostSigma = 10;
    private const double MostAlpha = 100;

    public static bool IsConstant(SampleLikelihood sample) => sample.Max - sample.Min <= Rounding * sample.Max;

    public static int Parameters(TaskSizeFamily family) => family switch
    {
        TaskSizeFamily.Constant or TaskSizeFamily.Exponential => 1,
        TaskSizeFamily.BoundedPareto => 3,
        _ => 2,
    };

    /// <summary>The most likely distribution of a family, or the reason there is none.</summary>
    public static (TaskSizes? Sizes, double LogLikelihood, string Reason) Fit(TaskSizeFamily family, SampleLikelihood sample)
    {
        if (family == TaskSizeFamily.Constant)
            return Refused("The durations differ.");
        if (sample.Min == 0 && family is TaskSizeFamily.Gamma or TaskSizeFamily.Lognormal or TaskSizeFamily.BoundedPareto)
            return Refused(HasZeros);
        return family switch
        {
            TaskSizeFamily.Uniform => (new UniformSizes(sample.Min, sample.Max), -sample.Count * Math.Log(sample.Max - sample.Min), ""),
            TaskSizeFamily.Exponential => (new ExponentialSizes(sample.Mean), -sample.Count * (Math.Log(sample.Mean) + 1), ""),
            TaskSizeFamily.Gamma => Gamma(sample),
            TaskSizeFamily.Lognormal => Lognormal(sample),
            TaskSizeFamily.BoundedPareto => BoundedPareto(sample),
            _ => throw new ArgumentOutOfRangeException(nameof(family), family, "No such family."),
        };
    }

    private static (TaskSizes?, double, string) Gamma(SampleLikelihood sample)
    {
        double s = sample.LogMeanLessMeanLog;
        double shape = (1 + Math.Sqrt(1 + 4 * s / 3)) / (4 * s);
        if (!double.IsFinite(shape))
            return Refused("The durations are too nearly equal for it.");

        // log k - digamma(k) is convex and falling in k: Newton steps from below climb to the root and never pass it; in 1/k,
        // which it is nearly proportional to, they need only a few.
        for (int i = 0; i < 100; i++)
        {
            (double value, double slope) = IncompleteGamma.LogLessDigamma(shape);
            double inverse = 1 / shape + (value - s) / (slope * shape * shape);
            double next = inverse > 0 ? 1 / inverse : 2 * shape;
            bool isDone = Math.Abs(next - shape) <= 1e-14 * shape;
            shape = next;
            if (isDone)
                break;
        }

        double scale = sample.Mean / shape;
        if (!(scale > 0 && double.IsFinite(shape)))
            return Refused("The durations are too nearly equal for it.");
        double each = IncompleteGamma.StirlingRest(shape) - shape * s - sample.MeanLog - Math.Log(sample.Mean);
        return (new GammaSizes(shape, scale), sample.Count * each, "");
    }

    private static (TaskSizes?, double, string) Lognormal(SampleLikelihood sample)
    {
        double mu = sample.MeanLog + Math.Log(sample.Mean);
        double sigma = Math.Sqrt(sample.LogVariance);
        if (!(Math.Abs(mu) <= MostMu && sigma > 0 && sigma <= MostSigma))
            return Refused("Its spread or its middle would be out of range.");
        return (new LognormalSizes(mu, sigma), -sample.Count * (mu + Math.Log(sigma) + Constants.LogSqrt2Pi + 0.5), "");
    }

    private static (TaskSizes?, double, string) BoundedPareto(SampleLikelihood sample)
    {
        // With t = log(H/L) and y = alpha t the score equation is 1/y - 1/(exp(y) - 1) = mean(log(x/L))/t, falling from 1/2 to 0.
        double logOfMean = Math.Log(sample.Mean);
        double t = Math.Log(sample.Max) - Math.Log(sample.Min);
        double m = sample.MeanLog + logOfMean - Math.Log(sample.Min);
        if (!(m < t / 2))
            return Refused("Short tasks are not the commonest, as they are in it.");
        double low = 0, high = 1;
        while (Score(high) > m / t && high < MostAlpha * t)
            (low, high) = (high, 2 * high);
        for (int i = 0; i < 100 && high - low > 1e-15 * high; i++)
        {
            double middle = low + (high - low) / 2;
            if (Score(middle) > m / t)
                low = middle;
            else
                high = middle;
        }

        double alpha = (low + high) / 2 / t;
        if (!(alpha > 0 && alpha <= MostAlpha))
            return Refused("Its tail exponent would be out of range.");
        double kept = -NearOne.ExpLessOne(-alpha * t);
        double each = Math.Log(alpha / kept) - alpha * m - sample.MeanLog - logOfMean;
        return (new BoundedParetoSizes(alpha, sample.Min, sample.Max), sample.Count * each, "");
    }

    private static double Score(double y) => y < 1e-2 ? 0.5 - y / 12 + y * y * y / 720 : 1 / y - 1 / NearOne.ExpLessOne(y);

    private static (TaskSizes?, double, string) Refused(string reason) => (null, 0, reason);
}
