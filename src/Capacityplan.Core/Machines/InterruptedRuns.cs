using System.Buffers;
using static System.Math;

namespace Capacityplan.Core.Machines;

/// <summary>A run time and how likely it is.</summary>
/// <param name="Share">Its chance; above 0, all of a set add up to 1.</param>
/// <param name="Seconds">The time, seconds.</param>
internal readonly record struct WeighedSeconds(double Share, double Seconds)
{
    /// <summary>Natural logarithm of the time, which chances are asked for by; negative infinity for no time.</summary>
    public double LogSeconds { get; } = Log(Seconds);
}

/// <summary>
/// Simulates interrupted runs: how long a run takes whose time without interruptions is known, and the longest run that is
/// done in a given time. The same seed gives the same nights. Not meant to be shared between threads.
/// </summary>
/// <remarks>
/// A night's interruptions fall at the same moments whatever the run is long, so that what a night lets finish within a window
/// is one number: the work done, saved or not, at its best moment. The first interruption is drawn in even layers (stratified:
/// W. G. Cochran, "Sampling Techniques", Wiley 1977), the chance of none is exact, the others follow at random. Past
/// <see cref="MostInterruptions"/> in a run limit laws take over: with checkpoints the work grows in proportion to the time;
/// without, what is waited for is one rare long break-free stretch, so the time is exponential about its mean and the longest
/// stretch grows as M times the logarithm of the time (J. Keilson, "Markov Chain Models - Rarity and Exponentiality", Springer
/// 1979, from memory).
/// </remarks>
internal sealed class InterruptedRuns
{
    /// <summary>Nights simulated for a window.</summary>
    private const int Nights = 960;

    /// <summary>Neighbours among those nights are gathered into so many.</summary>
    private const int Layers = 32;

    /// <summary>So many layers make one where less will do.</summary>
    private const int Gathered = 4;

    /// <summary>Past so many interruptions in a run, limit laws serve.</summary>
    private const double MostInterruptions = 5_000;

    /// <summary>About so many interruptions are simulated at most, over all nights.</summary>
    private const double MostDrawn = 500_000;

    private const int LeastNights = 64;

    /// <summary>Machines differ in their start-up, and so in the time left of a window; so many of those times are kept.</summary>
    private const int MostKnown = 200;

    /// <summary>Keeps the streams of interruptions apart from others of the same seed.</summary>
    private const ulong Purpose = 0x49_6E_74_65_72_72_75_70;

    private readonly int _seed;
    private readonly double _tau;
    private readonly double _d;
    private readonly Dictionary<double, WeighedSeconds[]> _known = [];
    private readonly Dictionary<double, WeighedSeconds[]> _about = [];
    private double _longestDrawn;
    private double _shortestNotDrawn = double.PositiveInfinity;

    public InterruptedRuns(Interruptions interruptions, int seed)
    {
        Interruptions = interruptions;
        _seed = seed;
        (_tau, _d) = (interruptions.IntervalSeconds ?? double.PositiveInfinity, interruptions.CheckpointSeconds ?? 0);
    }

    public Interruptions Interruptions { get; }

    /// <summary>The longest run without interruptions that would be done within a time, over nights.</summary>
    /// <param name="seconds">Seconds; above 0 and finite.</param>
    public WeighedSeconds[] LongestDoneWithin(double seconds)
    {
        if (_known.TryGetValue(seconds, out WeighedSeconds[]? longest))
            return longest;
        if (_known.Count >= MostKnown)
            _known.Clear();
        longest = Simulate(seconds);
        _known.Add(seconds, longest);
        return longest;
    }

    /// <summary>The same on fewer, wider layers: for curves taken as the true one, of which a few hundred are averaged.</summary>
    /// <param name="seconds">Seconds; above 0 and finite.</param>
    public WeighedSeconds[] AboutDoneWithin(double seconds)
    {
        if (_about.TryGetValue(seconds, out WeighedSeconds[]? about))
            return about;
        if (_about.Count >= MostKnown)
            _about.Clear();
        about = [.. LongestDoneWithin(seconds).Chunk(Gathered).Select(some => new WeighedSeconds(some.Sum(one => one.Share), some.Sum(one => one.Share * one.Seconds) / some.Sum(one => one.Share)))];
        _about.Add(seconds, about);
        return about;
    }

    private WeighedSeconds[] Simulate(double seconds)
    {
        double mean = Interruptions.MeanSecondsBetween;
        double interrupted = -Interruptions.ExpLessOne(-seconds / mean);
        double whole = Progress(seconds, out _);
        if (interrupted < 1e-12)
            return [new(1, whole)];
        double within = Min(seconds, MostInterruptions * mean);
        int nights = (int)Clamp(MostDrawn / (1 + within / mean), LeastNights, Nights) / Layers * Layers;
        RandomSource random = Source(0);
        double[] rented = ArrayPool<double>.Shared.Rent(nights);
        Span<double> best = rented.AsSpan(0, nights);
        for (int night = 0; night < nights; night++)
        {
            double layer = (night + random.NextUniform()) / nights;
            best[night] = Stretched(LongestOf(FirstInterruption(layer * interrupted), within, random), within, seconds);
        }

        Span<double> means = stackalloc double[Layers];
        Ranks.LayerMeans(best, means);
        var longest = new WeighedSeconds[interrupted < 1 ? Layers + 1 : Layers];
        for (int layer = 0; layer < Layers; layer++)
            longest[layer] = new(interrupted / Layers, means[layer]);
        ArrayPool<double>.Shared.Return(rented);
        if (interrupted < 1)
            longest[Layers] = new(1 - interrupted, whole);
        return longest;
    }

    /// <summary>Random numbers for a set of nights.</summary>
    /// <param name="set">Which set.</param>
    public RandomSource Source(ulong set) => new(unchecked((ulong)_seed), set, Purpose);

    /// <summary>When the first interruption comes that a share of nights have had by then, seconds.</summary>
    /// <param name="share">From 0 to below 1.</param>
    public double FirstInterruption(double share) => Interruptions.MeanSecondsBetween * MeansUntil(share);

    /// <summary>The same as a multiple of the mean time between interruptions, which does not depend on how often they come.</summary>
    /// <param name="share">From 0 to below 1.</param>
    public static double MeansUntil(double share) => -LogOfOneLess(share);

    /// <summary>Seconds a run takes in one night.</summary>
    /// <param name="uninterruptedSeconds">Its time without interruptions, seconds; above 0.</param>
    /// <param name="firstInterruption">When the first one comes, seconds after it starts.</param>
    /// <param name="random">Gives the others.</param>
    /// <returns>Seconds, perhaps infinite.</returns>
    public double FinishSeconds(double uninterruptedSeconds, double firstInterruption, RandomSource random)
    {
        double needed = Needed(uninterruptedSeconds);
        if (needed <= firstInterruption)
            return needed;
        if (!IsDrawn(uninterruptedSeconds))
        {
            double expected = Interruptions.ExpectedSeconds(uninterruptedSeconds);
            return Interruptions.CheckpointSeconds is null ? expected * random.NextExponential() : expected;
        }

        double start = 0, next = firstInterruption, saved = 0;
        while (true)
        {
            if (start + needed <= next)
                return start + needed;
            if (next > start && _tau < double.PositiveInfinity)
            {
                saved += Floor((next - start) / (_tau + _d)) * _tau;
                needed = Needed(uninterruptedSeconds - saved);
            }

            start = next + Interruptions.RestartSeconds;
            next += Interruptions.MeanSecondsBetween * random.NextExponential();
        }
    }

    /// <summary>Seconds that runs take, a night each, as <see cref="FinishSeconds(double, double, RandomSource)"/> gives them.</summary>
    /// <param name="uninterruptedSeconds">Their times without interruptions, each to be multiplied by the factor; seconds, above 0.</param>
    /// <param name="factor">Above 0.</param>
    /// <param name="meansUntilFirst">When the first interruption of each comes, as a multiple of the mean time between them.</param>
    /// <param name="random">Gives the others.</param>
    /// <param name="finished">Receives seconds, none above a limit.</param>
    /// <param name="most">The limit, seconds.</param>
    public void FinishSeconds(
        ReadOnlySpan<double> uninterruptedSeconds, double factor, ReadOnlySpan<double> meansUntilFirst, RandomSource random, Span<double> finished, double most)
    {
        double mean = Interruptions.MeanSecondsBetween;
        for (int night = 0; night < finished.Length; night++)
        {
            double work = uninterruptedSeconds[night] * factor, first = mean * meansUntilFirst[night];
            // Most nights, where interruptions are rare, have none.
            double needed = Needed(work);
            finished[night] = Min(most, needed <= first ? needed : FinishSeconds(work, first, random));
        }
    }

    /// <summary>Seconds of a run without a break, its checkpoints included.</summary>
    private double Needed(double work) => _tau < double.PositiveInfinity ? work + _d * Interruptions.CheckpointsIn(work, _tau) : work;

    /// <summary>True where a run has few enough interruptions to be drawn one by one. Longer runs have more, so that of all those
    /// asked for only the longest drawn and the shortest not drawn are worked out.</summary>
    private bool IsDrawn(double uninterruptedSeconds)
    {
        if (uninterruptedSeconds <= _longestDrawn)
            return true;
        if (uninterruptedSeconds >= _shortestNotDrawn)
            return false;
        bool isDrawn = Interruptions.ExpectedSeconds(uninterruptedSeconds) <= MostInterruptions * Interruptions.MeanSecondsBetween;
        if (isDrawn)
            _longestDrawn = uninterruptedSeconds;
        else
            _shortestNotDrawn = uninterruptedSeconds;
        return isDrawn;
    }

    private double LongestOf(double firstInterruption, double within, RandomSource random)
    {
        double mean = Interruptions.MeanSecondsBetween, restart = Interruptions.RestartSeconds;
        double start = 0, next = firstInterruption, saved = 0, best = 0;
        while (start < within)
        {
            if (next > start)
            {
                double done = saved + Progress((next < within ? next : within) - start, out double kept);
                saved += kept;
                best = done > best ? done : best;
            }

            start = next + restart;
            next += mean * random.NextExponential();
        }

        return best;
    }

    /// <summary>Work done in a time without a break.</summary>
    private double Progress(double seconds, out double saved)
    {
        saved = 0;
        if (double.IsPositiveInfinity(_tau))
            return seconds;
        double periods = Floor(seconds / (_tau + _d)), rest = seconds - periods * (_tau + _d);
        saved = periods * _tau;
        return saved + (rest < _tau ? rest : _tau);
    }

    /// <summary>What was done in a part of the time, carried on to all of it.</summary>
    private double Stretched(double done, double within, double seconds) =>
        within >= seconds ? done
        : Interruptions.CheckpointSeconds is null ? done + Interruptions.MeanSecondsBetween * Log(seconds / within)
        : done * (seconds / within);

    private static double LogOfOneLess(double x) => x < 1e-5 ? -x * (1 + 0.5 * x) : Log(1 - x);
}
