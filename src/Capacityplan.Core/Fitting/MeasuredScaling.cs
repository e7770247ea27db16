using System.Collections.Immutable;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Random;
using MathNet.Numerics.Statistics;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// A job's scaling fitted to timings. Each <see cref="OverheadModel"/> is fitted to the log-median of every core count;
/// the curves are refits to timings disturbed by their own noise, with each prior drawn afresh (a parametric bootstrap
/// that lets the prior speak where the timings are silent), shared out between the models by their weights.
/// </summary>
/// <remarks>
/// Weights are prior weight x exp(-(chi^2 + k ln n)/2), chi^2 the sum minimised, k the parameters and n the core counts
/// (Schwarz, Annals of Statistics 6(2) 1978; from memory). Bootstrap: Efron, Annals of Statistics 7(1) 1979; from memory.
/// </remarks>
public sealed class MeasuredScaling : ScalingForecast
{
    /// <summary>The number of curves drawn unless asked otherwise.</summary>
    public const int DefaultDraws = 1_000;

    /// <summary>What a doubling of the cores past the measured ones adds to the log-scatter of a forecast.</summary>
    public const double ScatterPerDoubling = 0.08;

    private readonly TimingNoise _noise;
    private readonly Curve[] _draws;
    private readonly Curve[] _centres;
    private readonly double _measuredUpTo;

    private MeasuredScaling(ImmutableArray<TimingGroup> groups, TimingNoise noise, Curve[] centres, Curve[] draws)
    {
        Groups = groups;
        _noise = noise;
        _centres = centres;
        _draws = draws;
        _measuredUpTo = groups.Max(group => group.CoresWorth);
        WorkSeconds = draws.Select(draw => draw.OneCoreSeconds).Median();
        SpanSeconds = Min(WorkSeconds, draws.Select(draw => draw.OneCoreSeconds * draw.Sizes[0]).Median());
        Models = [.. centres.OrderByDescending(centre => centre.Weight).Select(Describe)];
    }

    /// <inheritdoc/>
    public override ImmutableArray<TimingGroup> Groups { get; }

    /// <inheritdoc/>
    public override int DrawCount => _draws.Length;

    /// <inheritdoc/>
    public override double? MeasuredUpToCores => _measuredUpTo;

    /// <inheritdoc/>
    public override double WorkSeconds { get; }

    /// <inheritdoc/>
    public override double SpanSeconds { get; }

    /// <inheritdoc/>
    public override double RunToRunNoise => _noise.RunToRun;

    /// <inheritdoc/>
    public override IReadOnlyList<FittedModel> Models { get; }

    /// <summary>Fits timings.</summary>
    /// <param name="timings">Measured runs on two core counts at least.</param>
    /// <param name="coresWorth">What a stated core count is worth in physical cores of the machine measured on.</param>
    /// <param name="seed">Seed of the bootstrap; the same timings and seed give the same curves.</param>
    /// <param name="draws">How many curves; 10 or more.</param>
    /// <param name="progress">Told the share of the curves that is drawn, now and then.</param>
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
        double[] variances = [.. groups.Select(group => noise.VarianceOfMedian(group.LogSeconds.Length))];
        double[] robust = RobustWeights(cores, logMedians, variances);
        ImmutableArray<OverheadModel> models = OverheadModel.All;
        CurveFit[] fits = [.. models.Select(model => new CurveFit(model, cores, robust))];

        double[] chiSquared = new double[models.Length];
        Curve[] centres = [.. models.Select((model, index) => FitOnce(model, fits[index], logMedians, new double[model.Terms.Length], out chiSquared[index]))];
        double[] weights = Weights(models, chiSquared, groups.Length);
        for (int index = 0; index < centres.Length; index++)
            centres[index] = centres[index] with { Weight = weights[index] };

        return new MeasuredScaling(groups, noise, centres, Draw(models, fits, weights, logMedians, variances, seed, draws, progress, cancellation));
    }

    /// <inheritdoc/>
    public override void CurveSeconds(double cores, Span<double> seconds)
    {
        Require.AtLeast(cores, 1.0);
        for (int draw = 0; draw < _draws.Length; draw++)
            seconds[draw] = _draws[draw].Seconds(cores);
    }

    /// <inheritdoc/>
    public override double LogNoise(double cores)
    {
        double past = ScatterPerDoubling * Max(0, Log2(Require.AtLeast(cores, 1.0) / _measuredUpTo));
        return Sqrt(_noise.RunToRun * _noise.RunToRun + _noise.Sitting * _noise.Sitting + past * past);
    }

    /// <inheritdoc/>
    public override RunTimeParts Parts(double cores)
    {
        Require.AtLeast(cores, 1.0);
        double work = 0, span = 0, contention = 0;
        foreach (Curve centre in _centres)
        {
            // s (p - 1)/p of T1 stays whatever p; T1 (1 - s)/p is what more cores shorten.
            double one = centre.OneCoreSeconds * centre.Weight;
            double stays = centre.Sizes[0];
            work += one * (1 - stays) / cores;
            span += one * stays;
            for (int term = 1; term < centre.Sizes.Length; term++)
                contention += one * centre.Sizes[term] * centre.Model.Shape(term, cores) / cores;
        }

        return new RunTimeParts(work, span, 0, contention);
    }

    /// <summary>
    /// Weights of the core counts: inverse variances, those far off a first fit weighed down as Huber's rule does
    /// (k = 1.5; Huber, Robust Statistics, Wiley 1981; from memory). With fewer than four core counts a stray one cannot
    /// be told from the curve, so none is weighed down.
    /// </summary>
    private static double[] RobustWeights(double[] cores, double[] logMedians, double[] variances)
    {
        const double Strays = 1.5;
        double[] weights = [.. variances.Select(variance => 1 / variance)];
        if (cores.Length < 4)
            return weights;
        for (int round = 0; round < 5; round++)
        {
            Curve curve = FitOnce(
                OverheadModel.UniversalScalability, new CurveFit(OverheadModel.UniversalScalability, cores, weights), logMedians, new double[2], out _);
            for (int i = 0; i < cores.Length; i++)
            {
                double off = Abs(logMedians[i] - Log(curve.Seconds(cores[i]))) / Sqrt(variances[i]);
                weights[i] = (off > Strays ? Strays / off : 1) / variances[i];
            }
        }

        return weights;
    }

    private static Curve FitOnce(OverheadModel model, CurveFit fit, ReadOnlySpan<double> logSeconds, ReadOnlySpan<double> priorCentres, out double chiSquared)
    {
        double[] sizes = new double[model.Terms.Length];
        chiSquared = fit.Minimise(logSeconds, priorCentres, sizes, out double logOneCore);
        return new Curve(model, Exp(logOneCore), sizes, 0);
    }

    private static double[] Weights(ImmutableArray<OverheadModel> models, double[] chiSquared, int points)
    {
        double[] logs = [.. models.Select((model, index) =>
            Log(model.PriorWeight) - 0.5 * (chiSquared[index] + (1 + model.Terms.Length) * Log(points)))];
        double most = logs.Max();
        double[] weights = [.. logs.Select(log => Exp(log - most))];
        double sum = weights.Sum();
        return [.. weights.Select(weight => weight / sum)];
    }

    private static Curve[] Draw(
        ImmutableArray<OverheadModel> models, CurveFit[] fits, double[] weights, double[] logMedians, double[] variances,
        int seed, int draws, IProgress<double>? progress, CancellationToken cancellation)
    {
        var random = new Xoshiro256StarStar(seed, threadSafe: false);
        var normal = new Normal(0, 1, random);
        double[] deviations = [.. variances.Select(Sqrt)];
        double[] disturbed = new double[logMedians.Length];
        var curves = new Curve[draws];
        int done = 0;
        double upTo = 0;
        for (int index = 0; index < models.Length; index++)
        {
            OverheadModel model = models[index];
            upTo += weights[index];
            int until = index == models.Length - 1 ? draws : (int)Round(upTo * draws);
            double[] centres = new double[model.Terms.Length];
            for (; done < until; done++)
            {
                cancellation.ThrowIfCancellationRequested();
                if (done % 50 == 0)
                    progress?.Report((double)done / draws);
                for (int i = 0; i < disturbed.Length; i++)
                    disturbed[i] = logMedians[i] + deviations[i] * normal.Sample();
                for (int term = 0; term < centres.Length; term++)
                    centres[term] = model.Terms[term].PriorScale * normal.Sample();
                curves[done] = FitOnce(model, fits[index], disturbed, centres, out _);
            }
        }

        return curves;
    }

    private static FittedModel Describe(Curve curve)
    {
        var parameters = ImmutableSortedDictionary.CreateBuilder<string, double>(StringComparer.Ordinal);
        parameters["oneCoreSeconds"] = curve.OneCoreSeconds;
        for (int term = 0; term < curve.Sizes.Length; term++)
            parameters[curve.Model.Terms[term].Name] = curve.Sizes[term];
        if (curve.Model == OverheadModel.SerialPlusParallel)
        {
            parameters["serialSeconds"] = curve.OneCoreSeconds * curve.Sizes[0];
            parameters["parallelSeconds"] = curve.OneCoreSeconds * (1 - curve.Sizes[0]);
        }

        return new FittedModel(curve.Model.Name, curve.Model.Formula, curve.Weight, parameters.ToImmutable());
    }

    /// <summary>One curve: a model with its sizes.</summary>
    private sealed record Curve(OverheadModel Model, double OneCoreSeconds, double[] Sizes, double Weight)
    {
        public double Seconds(double cores) => Model.Seconds(OneCoreSeconds, Sizes, cores);
    }
}
