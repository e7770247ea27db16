using MathNet.Numerics;

namespace Capacityplan.Core.Jobs;

/// <summary>
/// The regularised incomplete gamma functions, for shapes of any size: a numerical library's where its series are short,
/// else the uniform expansion.
/// </summary>
/// <remarks>
/// N. M. Temme, "The asymptotic expansions of the incomplete gamma functions", SIAM Journal on Mathematical Analysis 10
/// (1979): Q(a, x) = erfc(eta sqrt(a/2))/2 + exp(-a eta^2/2)/sqrt(2 pi a) (c0(eta) + c1(eta)/a + ...), eta^2/2 = l - 1 - log l,
/// l = x/a. With c0 alone the error is below 1e-9 from <see cref="LongSeries"/> on.
/// </remarks>
internal static class IncompleteGamma
{
    // From this shape on the terms of a series number in the hundreds.
    private const double LongSeries = 10_000;

    // Below this the library may answer 0, where a small shape still has much of its weight; four terms give every digit.
    private const double SmallArgument = 1e-3;

    // From this shape on Stirling's series holds to the last digit with four terms.
    private const double LargeShape = 16;

    /// <summary>Q(a, x): the chance that a gamma draw of shape a and scale 1 exceeds x.</summary>
    public static double Upper(double shape, double x) =>
        shape >= LongSeries ? Uniform(shape, x, upper: true)
        : x < SmallArgument ? 1 - Small(shape, x)
        : SpecialFunctions.GammaUpperRegularized(shape, x);

    /// <summary>P(a, x) = 1 - Q(a, x), with its digits where it is small.</summary>
    public static double Lower(double shape, double x) =>
        shape >= LongSeries ? Uniform(shape, x, upper: false)
        : x < SmallArgument ? Small(shape, x)
        : SpecialFunctions.GammaLowerRegularized(shape, x);

    /// <summary>The x at which P(a, x) is a share.</summary>
    /// <param name="shape">a; above 0.</param>
    /// <param name="share">From 0 to 1.</param>
    public static double InverseLower(double shape, double share)
    {
        if (share is 0 or 1)
            return share == 0 ? 0 : double.PositiveInfinity;

        // P(a, x) <= x^a / Gamma(a + 1), so the quantile is not below this; where even it underflows it is 0 to any use.
        double logLow = (Math.Log(share) + SpecialFunctions.GammaLn(shape + 1)) / shape;
        double low = Math.Exp(shape < LongSeries ? logLow : Math.Log(shape) - 1);
        if (!(low > 0))
            return 0;
        bool isUpperHalf = share > 0.5;
        double Excess(double x) => isUpperHalf ? 1 - share - Upper(shape, x) : Lower(shape, x) - share;
        double high = Math.Max(2 * low, shape);
        while (Excess(high) < 0)
            (low, high) = (high, 2 * high);

        // E. B. Wilson and M. M. Hilferty, "The distribution of chi-square", PNAS 17 (1931), for the start; then Newton steps on
        // the logarithm of x, or halving where one would leave the bracket.
        double z = -Constants.Sqrt2 * SpecialFunctions.ErfcInv(2 * share);
        double cube = 1 - 1 / (9 * shape) + z / (3 * Math.Sqrt(shape));
        double x = shape * cube * cube * cube;
        if (!(x > low && x < high))
            x = Math.Sqrt(low) * Math.Sqrt(high);
        for (int i = 0; i < 200; i++)
        {
            double excess = Excess(x);
            if (excess >= 0)
                high = x;
            else
                low = x;
            double slope = Math.Exp(StirlingRest(shape) - shape * AboveItsLogarithm(x / shape));
            double next = x * Math.Exp(Math.Clamp(-excess / slope, -50, 50));
            if (!(next > low && next < high))
                next = Math.Sqrt(low) * Math.Sqrt(high);
            if (Math.Abs(next - x) <= 1e-14 * x)
                return next;
            x = next;
        }

        return x;
    }

    /// <summary>l - 1 - log l, 0 or more.</summary>
    public static double AboveItsLogarithm(double ratio)
    {
        double over = ratio - 1;
        return Math.Abs(over) < 1e-3
            ? over * over * (0.5 - over * (1.0 / 3 - over * (0.25 - over * (0.2 - over * (1.0 / 6 - over / 7)))))
            : over - Math.Log(ratio);
    }

    /// <summary>a log a - a - log Gamma(a), by Stirling's series where the three would cancel.</summary>
    public static double StirlingRest(double shape)
    {
        if (shape < LargeShape)
            return shape * Math.Log(shape) - shape - SpecialFunctions.GammaLn(shape);
        double inverse = 1 / shape, square = inverse * inverse;
        return 0.5 * Math.Log(shape / Constants.Pi2) - inverse * (1.0 / 12 - square * (1.0 / 360 - square * (1.0 / 1260 - square / 1680)));
    }

    /// <summary>log a - digamma(a), above 0 and falling, and its slope.</summary>
    /// <remarks>The asymptotic series, after steps of the recurrence up to where it holds (M. Abramowitz and I. A. Stegun,
    /// "Handbook of Mathematical Functions", 6.3.5, 6.3.18, 6.4.6 and 6.4.12).</remarks>
    public static (double Value, double Slope) LogLessDigamma(double shape)
    {
        double value = Math.Log(shape), slope = 1 / shape, a = shape;
        double steps = 0, slopes = 0;
        while (a < LargeShape)
        {
            steps += 1 / a;
            slopes += 1 / (a * a);
            a += 1;
        }

        double inverse = 1 / a, square = inverse * inverse;
        double rest = inverse * (0.5 + inverse * (1.0 / 12 - square * (1.0 / 120 - square * (1.0 / 252 - square / 240))));
        double restSlope = -square * (0.5 + inverse * (1.0 / 6 - square * (1.0 / 30 - square * (1.0 / 42 - square / 30))));
        if (a == shape)
            return (rest, restSlope);
        return (value - Math.Log(a) + rest + steps, slope - 1 / a + restSlope - slopes);
    }

    // Abramowitz and Stegun 6.5.29: P(a, x) = x^a / Gamma(a) times the sum of (-x)^n / (n! (a + n)).
    private static double Small(double shape, double x)
    {
        double sum = 1 + shape * x * (-1 / (shape + 1) + x * (0.5 / (shape + 2) + x * (-1.0 / 6 / (shape + 3) + x / 24 / (shape + 4))));
        return Math.Exp(shape * Math.Log(x) - SpecialFunctions.GammaLn(shape + 1)) * sum;
    }

    private static double Uniform(double shape, double x, bool upper)
    {
        double ratio = x / shape;
        double half = AboveItsLogarithm(ratio);
        double eta = Math.CopySign(Math.Sqrt(2 * half), ratio - 1);
        double c0 = Math.Abs(eta) < 0.05
            ? -1.0 / 3 + eta * (1.0 / 12 + eta * (-2.0 / 135 + eta * (1.0 / 864 + eta / 2835)))
            : 1 / (ratio - 1) - 1 / eta;
        double rest = Math.Exp(-shape * half) / Math.Sqrt(Constants.Pi2 * shape) * c0;
        double side = upper ? eta : -eta;
        return Math.Clamp(0.5 * SpecialFunctions.Erfc(side * Math.Sqrt(shape / 2)) + (upper ? rest : -rest), 0, 1);
    }
}
