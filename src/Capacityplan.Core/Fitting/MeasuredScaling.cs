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

    /// <summary>From so many core counts on what they are off a smooth curve tells how exact they are.</summary>
    public const int LeastToTellScatter = 5;

    /// <summary>What the assumed scatter about a curve weighs against the one seen, in core counts.</summary>
    private const double AssumedScatterFreedom = 1;

    /// <summary>So many curves of each family are weighed for one that is drawn.</summary>
    private const double CandidatesPerDraw = 2.4;

    /// <summary>Core counts up to which the span may not exceed the forecast itself.</summary>
    private const double FarthestCores = 4_096;

    private readonly ImmutableArray<TimingGroup> _points;
    private readonly TimingCovariance _covariance;
    private readonly Curve[] _draws;
    private readonly double _measuredUpTo;

    private MeasuredScaling(
        ImmutableArray<TimingGroup> points, TimingNoise noise, double[] robust, double scatter, TimingCovariance covariance,
        IReadOnlyList<ModelFit> fits, Curve[] draws)
    {
        _points = points;
        Noise = noise;
        ScatterSeen = scatter;
        _covariance = covariance;
        _draws = draws;
        _measuredUpTo = points[^1].CoresWorth;
        bool haveSizes = points.Any(point => point.Size != 1);
        Groups = haveSizes ? TimingGroup.AtPlannedSize(points, LogGrowth) : points;
        Trust = [.. Groups.Select(group => points.Select((point, i) => (point, i)).Where(one => one.point.Cores == group.Cores).Min(one => robust[one.i]))];
        WorkSeconds = draws.Select(draw => Exp(draw.Level)).Median();
        SpanSeconds = Span();
        SaturationWeight = fits.Where(fit => fit.Best.Curve.Family.KneeCores(fit.Best.Curve.Parameters) is not null).Sum(fit => fit.Weight);
        RateWeight = fits.Where(fit => fit.Best.Curve.Family.IsRate).Sum(fit => fit.Weight);
        Models = ModelFit.Describe(fits);
        Growth = haveSizes ? GrowthOf(fits) : null;
    }

    /// <inheritdoc/>
    public override ImmutableArray<TimingGroup> Groups { get; }

    /// <summary>The noise of the timings.</summary>
    public TimingNoise Noise { get; }

    /// <summary>How many repeats within a sitting the runs' noise was seen in; with 0 it is assumed.</summary>
    public int Repeats => _points.Sum(point => point.Sittings.Sum(sitting => sitting.LogSeconds.Length - 1));

    /// <summary>How many sittings besides the first of each core count and size their error was seen in; with 0 it is assumed.</summary>
    public int FurtherSittings => _points.Sum(point => point.Sittings.Length - 1);

    /// <summary>What the scatter about the curve is, over the assumed one: below 1 where many core counts lie closer to a smooth
    /// curve than noise would leave them.</summary>
    public double ScatterSeen { get; }

    /// <inheritdoc/>
    public override SizeGrowth? Growth { get; }

    /// <summary>What each core count weighs against one in line with the others: 1, less where it strays, never 0.</summary>
    public ImmutableArray<double> Trust { get; }

    /// <summary>The share of the models with a resource that saturates: a shared rate or a contention knee; from 0 to 1.</summary>
    public double SaturationWeight { get; }

    /// <summary>The share of the models with a shared rate, as of memory, that saturates; part of <see cref="SaturationWeight"/>.</summary>
    public double RateWeight { get; }

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
    /// <param name="draws">How many curves; 10 or more. The fewer, the coarser the forecast and the sooner it is there.</param>
    /// <param name="assumed">How noisy the machine is taken to be.</param>
    /// <param name="progress">Told the share of the families that is done, on any thread, one at a time.</param>
    /// <param name="cancellation">Stops the work.</param>
    /// <exception cref="ArgumentException">Fewer than two core counts.</exception>
    public static MeasuredScaling Fit(
        IReadOnlyList<Timing> timings, Func<int, double> coresWorth, int seed, int draws = DefaultDraws,
        AssumedNoise assumed = default, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        Require.AtLeast(draws, 10);
        ImmutableArray<TimingGroup> groups = TimingGroup.OfSizes(timings, coresWorth);
        if (groups.Select(group => group.Cores).Distinct().Count() < 2)
            throw new ArgumentException("A curve needs timings on two core counts at least.", nameof(timings));

        TimingNoise noise = TimingNoise.Estimate(groups, assumed);
        var points = FittedPoints.Of(groups);
        double[] variances = [.. groups.Select(noise.VarianceOfMedian)];
        FamilyFit[] single = [.. ScalingFamily.All.Select(family => new FamilyFit(family, points.HaveSizes ? SizeLaw.Power : null, points))];
        double[] robust = RobustWeights(single, points, variances, out FamilyBest? robustBest);
        double scatter = Scatter(robustBest, points, variances, robust);
        var covariance = new TimingCovariance(points.Cores, [.. variances.Select((variance, i) => scatter * scatter * variance / robust[i])], scatter);

        // With several input sizes every family meets every law of growth; the draws are shared out among these.
        (ScalingFamily Family, SizeLaw? Law)[] models = points.HaveSizes
            ? [.. ScalingFamily.All.SelectMany(family => SizeLaw.All.Select(law => (family, (SizeLaw?)law)))]
            : [.. ScalingFamily.All.Select(family => (family, (SizeLaw?)null))];
        int perModel = (int)(CandidatesPerDraw * draws * ScalingFamily.All.Length / models.Length);
        var random = new Xoshiro256StarStar(seed, threadSafe: false);
        double[] shifts = [.. models.Select(_ => random.NextDouble())];
        var bests = new FamilyBest[models.Length];
        var drawn = new FamilyDraws[models.Length];
        var compared = new (double? Aicc, double? LeftOutError)[models.Length];
        int done = 0;
        Parallel.For(0, models.Length, new ParallelOptions { CancellationToken = cancellation }, index =>
        {
            (ScalingFamily family, SizeLaw? law) = models[index];
            var fit = new FamilyFit(family, law, points);
            bests[index] = fit.Best(covariance);
            drawn[index] = new FamilyDraws(fit, covariance, bests[index], perModel, shifts[index]);
            compared[index] = (ModelComparison.Aicc(points, family, law), ModelComparison.LeftOutError(groups, variances, family, law));
            // One at a time, so that the share never falls.
            lock (drawn)
            {
                progress?.Report((double)++done / models.Length);
            }
        });

        double most = drawn.Max(draws => draws.LogWeights.Max());
        double[][] weights = [.. drawn.Select(draws => draws.LogWeights.Select(weight => Exp(weight - most)).ToArray())];
        double sum = weights.Sum(weights => weights.Sum());
        ModelFit[] fits =
        [
            .. models.Select((model, index) =>
                new ModelFit(bests[index], model.Law, weights[index].Sum() / sum, compared[index].Aicc, compared[index].LeftOutError)),
        ];
        Curve[] curves = Resample(drawn, weights, sum, covariance, points, draws, random);
        return new MeasuredScaling(groups, noise, robust, scatter, covariance, fits, curves);
    }

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds) => CurveSeconds(cores, 1, seconds);

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, double size, Span<double> seconds) => SpreadSeconds(cores, size, seconds[.._draws.Length]);

    /// <summary>The times of curves that are evenly spread over all, at a core count.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="size">The input, times the planned one; above 0 and finite.</param>
    /// <param name="seconds">Receives a time for each of its places, seconds.</param>
    internal void SpreadSeconds(double cores, double size, Span<double> seconds)
    {
        Require.Positive(size);
        double[] shares = Shares(cores);
        // Without runs of other sizes every curve grows in proportion to the input.
        for (int place = 0; place < seconds.Length; place++)
            seconds[place] = Exp(Spread(place, seconds.Length).LogSeconds(cores, size, shares));
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        double past = ScatterPerDoubling * Max(0, Log2(Require.AtLeast(cores, 1.0) / _measuredUpTo));
        double discrepancy = _covariance.Follow(cores, new double[_points.Length]);
        return Sqrt(Noise.RunToRun * Noise.RunToRun + Noise.Sitting * Noise.Sitting + discrepancy + past * past);
    }

    /// <inheritdoc/>
    public override double SharedLogVariance(double one, double other) =>
        _covariance.Left(Require.AtLeast(one, 1.0), Require.AtLeast(other, 1.0))
        + ScatterPerDoubling * ScatterPerDoubling * Max(0, Log2(one / _measuredUpTo)) * Max(0, Log2(other / _measuredUpTo));

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        double[] shares = Shares(cores);
        double work = 0, span = 0, overhead = 0, contention = 0, bandwidth = 0;
        double[] seconds = new double[_draws.Length];
        for (int draw = 0; draw < _draws.Length; draw++)
        {
            RunTimeParts parts = _draws[draw].Shape.Parts(cores);
            seconds[draw] = Exp(_draws[draw].LogSeconds(parts, cores, 1, shares));
            double whole = parts.TotalSeconds;
            work += parts.WorkSeconds / whole;
            span += parts.SpanSeconds / whole;
            overhead += parts.OverheadSeconds / whole;
            contention += parts.ContentionSeconds / whole;
            bandwidth += parts.BandwidthSeconds / whole;
        }

        // Each curve's shares count alike, however slow it is, and make up the median curve, which is what is shown.
        double scale = seconds.Median() / _draws.Length;
        return new RunTimeParts(scale * work, scale * span, scale * overhead, scale * contention, BandwidthSeconds: scale * bandwidth);
    }

    /// <inheritdoc/>
    public override void CurveParts(double cores, Span<CurveParts> parts) => SpreadParts(cores, parts[.._draws.Length]);

    /// <summary>What the times of <see cref="SpreadSeconds"/> consist of, for the planned input.</summary>
    /// <param name="cores">Cores' worth; 1 or more and finite.</param>
    /// <param name="parts">Receives one for each of its places.</param>
    internal void SpreadParts(double cores, Span<CurveParts> parts)
    {
        double[] shares = Shares(cores);
        for (int place = 0; place < parts.Length; place++)
        {
            Curve draw = Spread(place, parts.Length);
            RunTimeParts at = draw.Shape.Parts(cores);
            parts[place] = Fitting.CurveParts.Of(at, draw.Shape.Parts(1), cores, Exp(draw.LogSeconds(at, cores, 1, shares)));
        }
    }

    private Curve Spread(int place, int places) => _draws[(int)((long)place * _draws.Length / places)];

    private double[] Shares(double cores)
    {
        double[] shares = new double[_points.Length];
        _covariance.Follow(Require.AtLeast(cores, 1.0), shares);
        return shares;
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
    private static double[] RobustWeights(FamilyFit[] fits, FittedPoints points, double[] variances, out FamilyBest? best)
    {
        const double Freedom = 4;
        best = null;
        double[] weights = [.. variances.Select(_ => 1.0)];
        if (points.Cores.Distinct().Count() < LeastToTellStrays)
            return weights;
        var found = new FamilyBest[fits.Length];
        for (int round = 0; round < 4; round++)
        {
            var covariance = new TimingCovariance(points.Cores, [.. variances.Select((variance, i) => variance / weights[i])]);
            Parallel.For(0, fits.Length, fit => found[fit] = fits[fit].Best(covariance));
            best = found.MinBy(found => found.Loss)!;
            for (int i = 0; i < weights.Length; i++)
            {
                double off = covariance.Off(i, best.Residuals, variances[i]);
                weights[i] = Min(1, (Freedom + 1) / (Freedom + off * off));
            }
        }

        return weights;
    }

    /// <summary>
    /// What the scatter about the best curve is over the assumed one: the mean of both squares, weighed by how many core
    /// counts either stands for, never above 1. Steady repeats cannot show this, since a core count's repeats share its error.
    /// It makes the curve surer; the next run keeps the noise of a run and of a sitting, since all core counts may have been
    /// measured on one good day.
    /// </summary>
    private static double Scatter(FamilyBest? best, FittedPoints points, double[] variances, double[] robust)
    {
        if (best is null || points.Cores.Distinct().Count() < LeastToTellScatter)
            return 1;
        var covariance = new TimingCovariance(points.Cores, [.. variances.Select((variance, i) => variance / robust[i])]);
        double squares = covariance.Product(best.Residuals, best.Residuals);
        double freedom = Max(0, points.Cores.Length - best.Coordinates.Length - 1);
        return Sqrt(Min(1, (AssumedScatterFreedom + squares) / (AssumedScatterFreedom + freedom)));
    }

    /// <summary>ln of how many times longer a run of a point's size takes than one of the planned size: the median over the curves.</summary>
    private double LogGrowth(TimingGroup point) => _draws.Select(draw =>
        draw.Shape.LogShare(point.CoresWorth, point.Size) - draw.Shape.LogShare(point.CoresWorth)).Median();

    private SizeGrowth GrowthOf(IReadOnlyList<ModelFit> fits)
    {
        const double Step = 1.01;
        double[] exponents = [.. _draws.Select(draw => (draw.Shape.LogShare(1, Step) - draw.Shape.LogShare(1, 1 / Step)) / (2 * Log(Step))).Order()];
        double[] rests = [.. _draws.Select(draw => draw.Shape.Growth.RestShare).Order()];
        return new SizeGrowth(
            _points.Min(point => point.Size), _points.Max(point => point.Size),
            [
                .. fits.GroupBy(fit => fit.Law!).Select(same => new SizeLawShare(same.Key.Name, same.Key.Formula, same.Sum(fit => fit.Weight)))
                    .OrderByDescending(share => share.Weight),
            ],
            Central(exponents), Central(rests));
    }

    private static Band Central(double[] sorted) => new(
        SortedArrayStatistics.Quantile(sorted, 0.5), SortedArrayStatistics.Quantile(sorted, 0.1), SortedArrayStatistics.Quantile(sorted, 0.9));

    /// <summary>The knee of the curves with a resource that saturates, in cores; the band holds 80 of 100 of them.</summary>
    /// <returns>Null where there are none.</returns>
    internal Band? Knee()
    {
        double[] knees = [.. _draws.Select(draw => draw.Shape.Family.KneeCores(draw.Shape.Parameters)).OfType<double>().Order()];
        return knees.Length == 0 ? null : Central(knees);
    }

    /// <summary>Evenly spaced marks along the summed weights pick each candidate about as often as its weight says; each
    /// picked one gets a level of its own.</summary>
    private static Curve[] Resample(
        FamilyDraws[] drawn, double[][] weights, double sum, TimingCovariance covariance, FittedPoints points, int draws, Xoshiro256StarStar random)
    {
        var normal = new Normal(0, 1, random);
        double step = sum / draws, mark = random.NextDouble() * step, passed = 0;
        var curves = new Curve[draws];
        int model = 0, candidate = -1, made = 0;
        while (made < draws)
        {
            if (candidate < weights[model].Length - 1)
                candidate++;
            else if (model < weights.Length - 1)
                (model, candidate) = (model + 1, 0);
            passed += weights[model][candidate];
            // What rounding leaves past the last candidate is the last one's.
            bool isLast = model == weights.Length - 1 && candidate == weights[model].Length - 1;
            if (passed <= mark && !isLast)
                continue;
            FamilyCurve shape = drawn[model][candidate];
            double[] residuals = points.Off(shape);
            for (; made < draws && (passed > mark || isLast); made++, mark += step)
            {
                double level = covariance.Level(residuals) + covariance.LevelDeviation * normal.Sample();
                curves[made] = new Curve(shape, level, [.. residuals.Select(residual => residual - level)]);
            }
        }

        return curves;
    }

    /// <summary>One curve.</summary>
    /// <param name="Shape">Its shape.</param>
    /// <param name="Level">ln T1.</param>
    /// <param name="Offs">What the measured log-medians are off it.</param>
    private sealed record Curve(FamilyCurve Shape, double Level, double[] Offs)
    {
        public double LogSeconds(double cores, double size, double[] shares) => LogSeconds(Shape.Parts(cores), cores, size, shares);

        /// <param name="parts">The shape's parts at the cores.</param>
        /// <param name="cores">p.</param>
        /// <param name="size">The input, times the planned one.</param>
        /// <param name="shares">What the discrepancy takes from each of <see cref="Offs"/>.</param>
        public double LogSeconds(in RunTimeParts parts, double cores, double size, double[] shares)
        {
            double log = Level + Shape.LogShare(parts, cores, size);
            for (int i = 0; i < shares.Length; i++)
                log += shares[i] * Offs[i];
            return log;
        }
    }
}
