using System.Collections.Immutable;
using MathNet.Numerics.Distributions;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>
/// A family of curves T(p) = T1 f(p), f(1) = 1. Its parameters are functions of coordinates that are independent and
/// standard normal before any timing is seen, so that a family carries its prior with it: coordinate 0 is the middle of
/// what is believed, 2 its edge.
/// </summary>
/// <remarks>
/// All families share one belief of how large the overhead is: its size c is log-normal with median
/// <see cref="OverheadMedian"/> and log-scatter <see cref="OverheadScatter"/>. Families that split it between two terms take
/// every split as equally likely. These sizes come from a study of twelve measured fork/join programs; they are not fitted
/// to each other's data but not independent of it either.
/// </remarks>
internal abstract class ScalingFamily
{
    /// <summary>The median of the overhead's size before any timing is seen, as a share of T1.</summary>
    public const double OverheadMedian = 0.04;

    /// <summary>Log-scatter of the overhead's size: a factor of 4 either way is no surprise.</summary>
    public const double OverheadScatter = 1.4;

    /// <summary>A share of T1 cannot be all of it.</summary>
    private const double MostShare = 0.95;

    private protected ScalingFamily(string name, string formula, double priorWeight, ImmutableArray<ImmutableArray<double>> starts)
    {
        Name = name;
        Formula = formula;
        PriorWeight = priorWeight;
        Starts = starts;
    }

    /// <summary>The families a forecast averages over; their prior weights add up to 1.</summary>
    public static ImmutableArray<ScalingFamily> All { get; } =
    [
        new SerialPlusParallel(), new PowerOverhead(), new LogarithmicOverhead(), new UniversalScalabilityFamily(), new SharedRate(), new ContentionKnee(),
    ];

    /// <summary>Its name.</summary>
    public string Name { get; }

    /// <summary>Its formula, in plain characters.</summary>
    public string Formula { get; }

    /// <summary>Its weight before any timing is seen.</summary>
    public double PriorWeight { get; }

    /// <summary>Where to look for the best fit from, in coordinates.</summary>
    public ImmutableArray<ImmutableArray<double>> Starts { get; }

    /// <summary>Cores at which a resource saturates; null where the family has none that does.</summary>
    /// <param name="parameters">The parameters.</param>
    public virtual double? KneeCores(ReadOnlySpan<double> parameters) => null;

    /// <summary>Whether what saturates is a rate, as of memory, rather than a lock.</summary>
    public virtual bool IsRate => false;

    /// <summary>How many coordinates it has.</summary>
    public int Dimensions => Starts[0].Length;

    /// <summary>Writes the parameters that the coordinates stand for.</summary>
    /// <param name="coordinates"><see cref="Dimensions"/> numbers.</param>
    /// <param name="parameters">Receives as many parameters.</param>
    public abstract void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters);

    /// <summary>What makes up f(p).</summary>
    /// <param name="parameters">The parameters.</param>
    /// <param name="cores">p; 1 or more.</param>
    /// <returns>Shares of T1; they add up to f(p).</returns>
    public abstract RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores);

    /// <summary>The share of T1 that stays however many cores there are.</summary>
    /// <param name="parameters">The parameters.</param>
    public virtual double SpanShare(ReadOnlySpan<double> parameters) => parameters[0];

    /// <summary>The parameters by the names results show.</summary>
    /// <param name="oneCoreSeconds">T1, seconds.</param>
    /// <param name="parameters">The parameters.</param>
    public abstract IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters);

    /// <summary>f(p).</summary>
    /// <param name="parameters">The parameters.</param>
    /// <param name="cores">p; 1 or more.</param>
    public double Share(ReadOnlySpan<double> parameters, double cores) => Parts(parameters, cores).TotalSeconds;

    private static double Overhead(double coordinate) => OverheadMedian * Exp(OverheadScatter * coordinate);

    private static double Split(double coordinate) => RunTimeMixture.StandardNormal(coordinate);

    /// <summary>Amdahl's law, which is also work and span: a share s of T1 stays.</summary>
    private sealed class SerialPlusParallel() : ScalingFamily("serial plus parallel", "T = A/p + B", 0.3, [[0], [2]])
    {
        public override void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters) =>
            parameters[0] = Min(Overhead(coordinates[0]), MostShare);

        public override RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores) =>
            new((1 - parameters[0]) / cores, parameters[0], 0, 0);

        public override IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters) =>
        [
            new("oneCoreSeconds", oneCoreSeconds), new("serialFraction", parameters[0]),
            new("serialSeconds", oneCoreSeconds * parameters[0]), new("parallelSeconds", oneCoreSeconds * (1 - parameters[0])),
        ];
    }

    /// <summary>
    /// Overhead that grows with a power of the cores: T = T1 (1 + c (p^g - 1)/g)/p. With g near 0 it is work that is spread
    /// and inflated (c ln p), with 1 a part that stays, with 2 workers that get in each other's way in pairs. Our own form.
    /// </summary>
    private sealed class PowerOverhead() : ScalingFamily("power overhead", "T = A (1 + c (p^g - 1)/g)/p", 0.35, [[0, 0], [1.5, -1.5], [-1, 1.5]])
    {
        private const double MiddlePower = 1;
        private const double PowerScatter = 0.5;
        private const double MostPower = 2.5;
        private static readonly double s_low = RunTimeMixture.StandardNormal(-MiddlePower / PowerScatter);
        private static readonly double s_high = RunTimeMixture.StandardNormal((MostPower - MiddlePower) / PowerScatter);

        public override void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters)
        {
            parameters[0] = Overhead(coordinates[0]);
            double share = s_low + (s_high - s_low) * RunTimeMixture.StandardNormal(coordinates[1]);
            parameters[1] = MiddlePower + PowerScatter * Normal.InvCDF(0, 1, share);
        }

        public override RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores)
        {
            double power = parameters[1];
            double overhead = parameters[0] / cores * (power > 1e-6 ? (Pow(cores, power) - 1) / power : Log(cores));
            // Up to what a part that stays would take it counts as that; slower growth is overhead spread over the workers,
            // faster growth contention.
            double staying = parameters[0] * (1 - 1 / cores);
            double stays = power >= 1 ? staying : Stays(power) * overhead;
            return new RunTimeParts(1 / cores, stays, power < 1 ? overhead - stays : 0, power >= 1 ? Max(0, overhead - stays) : 0);
        }

        public override double SpanShare(ReadOnlySpan<double> parameters) => Min(MostShare, parameters[0]) * Stays(parameters[1]);

        public override IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters) =>
            [new("oneCoreSeconds", oneCoreSeconds), new("overhead", parameters[0]), new("power", parameters[1])];

        private static double Stays(double power) => Clamp(2 * power - 1, 0, 1);
    }

    /// <summary>A part that stays and one that grows with the levels of a tree over the workers: reductions, barriers.</summary>
    private sealed class LogarithmicOverhead() : ScalingFamily("logarithmic overhead", "T = A/p + B + C log2 p", 0.05, [[0, 0], [1, 1.5]])
    {
        public override void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters)
        {
            double overhead = Min(Overhead(coordinates[0]), MostShare);
            double split = Split(coordinates[1]);
            parameters[0] = (1 - split) * overhead;
            // Halved, so that either way of the split costs the same on two cores.
            parameters[1] = split * overhead / 2;
        }

        public override RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores) =>
            new((1 - parameters[0]) / cores, parameters[0], parameters[1] * Log2(cores), 0);

        public override IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters) =>
        [
            new("oneCoreSeconds", oneCoreSeconds), new("serialFraction", parameters[0]),
            new("secondsPerLevel", oneCoreSeconds * parameters[1]),
        ];
    }

    /// <summary>
    /// Universal scalability, contention a and coherency b (Gunther, Guerrilla Capacity Planning, Springer 2007, chapters 4
    /// to 6). Written A/p + B + C p it is the same curve: a start-up or a lock that every worker adds to.
    /// </summary>
    private sealed class UniversalScalabilityFamily() : ScalingFamily(
        "universal scalability", "T = A (1 + a (p - 1) + b p (p - 1))/p", 0.1, [[0, 0], [0, -2], [-2, 1]])
    {
        /// <summary>Coherency is a small part of the overhead on two cores even where it decides on a hundred: parts near 0
        /// are likelier than those near all of it. Published coefficients have 1 in 150 and less.</summary>
        private const int SplitPower = 2;

        public override void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters)
        {
            double overhead = Overhead(coordinates[0]);
            double split = Pow(Split(coordinates[1]), SplitPower);
            parameters[0] = (1 - split) * overhead;
            parameters[1] = split * overhead / 2;
        }

        public override RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores) =>
            new(1 / cores, parameters[0] * (1 - 1 / cores), 0, parameters[1] * (cores - 1));

        public override double SpanShare(ReadOnlySpan<double> parameters) => Min(MostShare, parameters[0]);

        public override IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters) =>
            [new("oneCoreSeconds", oneCoreSeconds), new("contention", parameters[0]), new("coherency", parameters[1])];
    }

    /// <summary>A shared rate, as of memory, holds the parallel part at its pace past a smooth corner (an l4 norm of both).</summary>
    private sealed class SharedRate() : ScalingFamily("shared rate", "T = B + (A/p and M, the larger, rounded)", 0.05, [[0, 0], [0, -1.5], [0, 1.5]])
    {
        private const double Corner = 4;

        public override bool IsRate => true;

        public override double? KneeCores(ReadOnlySpan<double> parameters) => parameters[1];

        public override void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters)
        {
            parameters[0] = Min(Overhead(coordinates[0]), MostShare);
            parameters[1] = KneeAt(coordinates[1]);
        }

        public override RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores)
        {
            double least = Pow(parameters[1], -Corner);
            double work = (1 - parameters[0]) / cores;
            double held = (1 - parameters[0]) * Pow((Pow(cores, -Corner) + least) / (1 + least), 1 / Corner);
            return new RunTimeParts(work, parameters[0], 0, 0, BandwidthSeconds: held - work);
        }

        public override IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters) =>
            [new("oneCoreSeconds", oneCoreSeconds), new("serialFraction", parameters[0]), new("coresWorthOfRate", parameters[1])];
    }

    /// <summary>
    /// A lock or another shared resource saturates past a knee: from k cores on the run loses up to h of T1, all of it from
    /// 2 k on.
    /// </summary>
    private sealed class ContentionKnee() : ScalingFamily(
        "contention knee", "T = A/p + B + h A min(1, max(0, p/k - 1))", 0.15, [[0, 0, 0], [0, 0, -1.3], [0, 0, 1.3], [0, 1, -0.5]])
    {
        private const double StepMedian = 0.2;
        private const double StepScatter = 1;

        public override double? KneeCores(ReadOnlySpan<double> parameters) => parameters[2];

        public override void Parameters(ReadOnlySpan<double> coordinates, Span<double> parameters)
        {
            parameters[0] = Min(Overhead(coordinates[0]), MostShare);
            parameters[1] = StepMedian * Exp(StepScatter * coordinates[1]);
            parameters[2] = KneeAt(coordinates[2]);
        }

        public override RunTimeParts Parts(ReadOnlySpan<double> parameters, double cores) =>
            new((1 - parameters[0]) / cores, parameters[0], 0, parameters[1] * Clamp(cores / parameters[2] - 1, 0, 1));

        public override IEnumerable<KeyValuePair<string, double>> Named(double oneCoreSeconds, double[] parameters) =>
        [
            new("oneCoreSeconds", oneCoreSeconds), new("serialFraction", parameters[0]), new("step", parameters[1]),
            new("kneeCores", parameters[2]),
        ];
    }

    /// <summary>A knee from 2 to 32 cores, every doubling as likely.</summary>
    private static double KneeAt(double coordinate) => 2 * Pow(16, RunTimeMixture.StandardNormal(coordinate));
}
