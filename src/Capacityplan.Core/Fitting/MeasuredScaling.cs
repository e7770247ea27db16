using System.Collections.Immutable;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Random;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// A job's scaling fitted to timings: a Bayesian average over the <see cref="ScalingFamily"/>s, with a discrepancy that no
/// curve explains (<see cref="TimingCovariance"/>) and an error of each sitting that repeats cannot average away
/// (<see cref="TimingNoise"/>). With few timings the priors do the work, and the band is as wide as they are.
/// </summary>
/// <remarks>
/// Averaging over models: Hoeting, Madigan, Raftery and Volinsky, "Bayesian Model Averaging: A Tutorial", Statistical Science
/// 14(4), 1999. Draws weighed and drawn again: sampling importance resampling; Rubin 1988. Both from memory.
/// </remarks>
public sealed class MeasuredScaling : ScalingForecast
{
    /// <summary>The number of curves drawn unless asked otherwise.</summary>
    public const int DefaultDraws = 1_000;

    /// <summary>What a doubling of the cores past the measured ones adds to the log-scatter of a forecast, besides what the
    /// discrepancy adds.</summary>
    public const double ScatterPerDoubling = 0.05;

    /// <summary>From so many core counts on one that strays can be told from the curve.</summary>
    public const int LeastToTellStrays = 4;

    private const int CandidatesPerFamily = 2_400;

    /// <summary>Core counts up to which the span may not exceed the forecast itself.</summary>
    private const double FarthestCores = 4_096;

    private readonly TimingCovariance _covariance;
    private readonly Curve[] _draws;
    private readonly double _measuredUpTo;

    private MeasuredScaling(
        ImmutableArray<TimingGroup> groups, TimingNoise noise, double[] robust, TimingCovariance covariance,
        (FamilyBest Best, double Weight)[] families, Curve[] draws)
    {
        Groups = groups;
        Noise = noise;
        Trust = [.. robust];
        _covariance = covariance;
        _draws = draws;
        _measuredUpTo = groups[^1].CoresWorth;
        WorkSeconds = draws.Select(draw => Exp(draw.Level)).Median();
        SpanSeconds = Span();
        SaturationWeight = families.Where(family => family.Best.Family.Saturates).Sum(family => family.Weight);
        Models =
        [
            .. families.OrderByDescending(family => family.Weight).Select(family => new FittedModel(
                family.Best.Family.Name, family.Best.Family.Formula, family.Weight,
                family.Best.Family.Named(Exp(family.Best.Level), family.Best.Parameters).ToImmutableSortedDictionary(StringComparer.Ordinal))),
        ];
    }

    /// <inheritdoc/>
    public override ImmutableArray<TimingGroup> Groups { get; }

    /// <summary>The noise of the timings.</summary>
    public TimingNoise Noise { get; }

    /// <summary>What each core count weighs against one in line with the others: 1, less where it strays, never 0.</summary>
    public ImmutableArray<double> Trust { get; }

    /// <summary>The share of the models with a resource that saturates: a shared rate or a contention knee; from 0 to 1.</summary>
    public double SaturationWeight { get; }

    /// <inheritdoc/>
    public override int DrawCount => _draws.Length;

    /// <inheritdoc/>
    public override double? MeasuredUpToCores => _measuredUpTo;

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override double RunToRunNoise => Noise.RunToRun;

    /// <inheritdoc/>
    public override IReadOnlyList<FittedModel> Models { get; }

    /// <summary>Fits timings.</summary>
    /// <param name="timings">Measured runs on two core counts at least.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores of the machine measured on.</param>
    /// <param name="seed">Seed of the draws; the same timings and seed give the same curves.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="progress">Told the share of the families that is done.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <exception cref="ArgumentException">Fewer than two core counts.</exception>
    public static MeasuredScaling Fit(
        IReadOnlyList<Timing> timings, Func<int, double> coresWorth, int seed, int draws = DefaultDraws,
        IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        Require.AtLeast(draws, 10);
        ImmutableArray<TimingGroup> groups = TimingGroup.Of(timings, coresWorth);
        if (groups.Length < 2)
            throw new ArgumentException("A curve needs timings on two core counts at least.", nameof(timings));

        TimingNoise noise = TimingNoise.Estimate(groups);
        double[] cores = [.. groups.Select(group => group.CoresWorth)];
        double[] logMedians = [.. groups.Select(group => group.LogMedian)];
        double[] variances = [.. groups.Select(noise.VarianceOfMedian)];
        FamilyFit[] fits = [.. ScalingFamily.All.Select(family => new FamilyFit(family, cores, logMedians))];
        double[] robust = RobustWeights(fits, cores, variances);
        var covariance = new TimingCovariance(cores, [.. variances.Select((variance, i) => variance / robust[i])]);

        var random = new Xoshiro256StarStar(seed, threadSafe: false);
        var bests = new FamilyBest[fits.Length];
        var candidates = new List<(FamilyCurve Curve, double Weight)>(fits.Length * CandidatesPerFamily);
        for (int index = 0; index < fits.Length; index++)
        {
            cancellation.ThrowIfCancellationRequested();
            progress?.Report((double)index / fits.Length);
            bests[index] = fits[index].Best(covariance);
            candidates.AddRange(fits[index].Draw(covariance, bests[index], CandidatesPerFamily, random.NextDouble()));
        }

        double most = candidates.Max(candidate => candidate.Weight);
        double[] weights = [.. candidates.Select(candidate => Exp(candidate.Weight - most))];
        double sum = weights.Sum();
        (FamilyBest, double)[] families =
        [
            .. bests.Select((best, index) => (best, weights.AsSpan(index * CandidatesPerFamily, CandidatesPerFamily).ToArray().Sum() / sum)),
        ];
        Curve[] curves = Resample(candidates, weights, sum, covariance, cores, logMedians, draws, random);
        return new MeasuredScaling(groups, noise, robust, covariance, families, curves);
    }

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds)
    {
        Require.AtLeast(cores, 1.0);
        double[] shares = new double[Groups.Length];
        _covariance.Follow(cores, shares);
        for (int draw = 0; draw < _draws.Length; draw++)
            seconds[draw] = Exp(_draws[draw].LogSeconds(cores, shares));
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        double past = ScatterPerDoubling * Max(0, Log2(Require.AtLeast(cores, 1.0) / _measuredUpTo));
        double discrepancy = _covariance.Follow(cores, new double[Groups.Length]);
        return Sqrt(Noise.RunToRun * Noise.RunToRun + Noise.Sitting * Noise.Sitting + discrepancy + past * past);
    }

    /// <inheritdoc/>
    public override double SharedLogVariance(double one, double other) =>
        _covariance.Left(Require.AtLeast(one, 1.0), Require.AtLeast(other, 1.0))
        + ScatterPerDoubling * ScatterPerDoubling * Max(0, Log2(one / _measuredUpTo)) * Max(0, Log2(other / _measuredUpTo));

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        Require.AtLeast(cores, 1.0);
        double[] shares = new double[Groups.Length];
        _covariance.Follow(cores, shares);
        double work = 0, span = 0, overhead = 0, contention = 0;
        double[] seconds = new double[_draws.Length];
        for (int draw = 0; draw < _draws.Length; draw++)
        {
            FamilyCurve curve = _draws[draw].Shape;
            RunTimeParts parts = curve.Family.Parts(curve.Parameters, cores);
            seconds[draw] = Exp(_draws[draw].LogSeconds(cores, shares));
            double whole = parts.WorkSeconds + parts.SpanSeconds + parts.OverheadSeconds + parts.ContentionSeconds;
            work += parts.WorkSeconds / whole;
            span += parts.SpanSeconds / whole;
            overhead += parts.OverheadSeconds / whole;
            contention += parts.ContentionSeconds / whole;
        }

        // Each curve's shares count alike, however slow it is, and make up the median curve, which is what is shown.
        double scale = seconds.Median() / _draws.Length;
        return new RunTimeParts(scale * work, scale * span, scale * overhead, scale * contention);
    }

    private double Span()
    {
        double span = _draws.Select(draw => Exp(draw.Level) * draw.Shape.Family.SpanShare(draw.Shape.Parameters)).Median();
        double[] seconds = new double[_draws.Length];
        for (double cores = 1; cores <= FarthestCores; cores *= 2)
        {
            CurveSeconds(cores, seconds);
            span = Min(span, seconds.Median());
        }

        return Min(span, WorkSeconds);
    }

    /// <summary>
    /// Weights of the core counts: 1, less the further one is from what the others and the best family let expect, as for a
    /// Student distribution with 4 degrees of freedom (Lange, Little and Taylor, "Robust Statistical Modeling Using the t
    /// Distribution", JASA 84, 1989; from memory). With fewer core counts than <see cref="LeastToTellStrays"/> a stray one
    /// cannot be told from the curve, so none is weighed down.
    /// </summary>
    private static double[] RobustWeights(FamilyFit[] fits, double[] cores, double[] variances)
    {
        const double Freedom = 4;
        double[] weights = [.. variances.Select(_ => 1.0)];
        if (cores.Length < LeastToTellStrays)
            return weights;
        for (int round = 0; round < 4; round++)
        {
            var covariance = new TimingCovariance(cores, [.. variances.Select((variance, i) => variance / weights[i])]);
            FamilyBest best = fits.Select(fit => fit.Best(covariance)).MinBy(found => found.Loss)!;
            for (int i = 0; i < cores.Length; i++)
            {
                double off = covariance.Off(i, best.Residuals, variances[i]);
                weights[i] = Min(1, (Freedom + 1) / (Freedom + off * off));
            }
        }

        return weights;
    }

    /// <summary>Evenly spaced marks along the summed weights pick each candidate about as often as its weight says; each
    /// picked one gets a level of its own.</summary>
    private static Curve[] Resample(
        List<(FamilyCurve Curve, double Weight)> candidates, double[] weights, double sum, TimingCovariance covariance,
        double[] cores, double[] logMedians, int draws, Xoshiro256StarStar random)
    {
        var normal = new Normal(0, 1, random);
        double step = sum / draws, mark = random.NextDouble() * step, passed = 0;
        var curves = new Curve[draws];
        int candidate = -1;
        for (int draw = 0; draw < draws; draw++, mark += step)
        {
            while (candidate < weights.Length - 1 && passed <= mark)
                passed += weights[++candidate];
            FamilyCurve shape = candidates[candidate].Curve;
            double[] residuals = [.. cores.Select((p, i) => logMedians[i] - shape.LogShare(p))];
            double level = covariance.Level(residuals) + covariance.LevelDeviation * normal.Sample();
            curves[draw] = new Curve(shape, level, [.. residuals.Select(residual => residual - level)]);
        }

        return curves;
    }

    /// <summary>One curve.</summary>
    /// <param name="Shape">Its shape.</param>
    /// <param name="Level">ln T1.</param>
    /// <param name="Offs">What the measured log-medians are off it.</param>
    private sealed record Curve(FamilyCurve Shape, double Level, double[] Offs)
    {
        public double LogSeconds(double cores, double[] shares)
        {
            double log = Level + Shape.LogShare(cores);
            for (int i = 0; i < shares.Length; i++)
                log += shares[i] * Offs[i];
            return log;
        }
    }
}
