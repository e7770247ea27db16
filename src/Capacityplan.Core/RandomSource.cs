using System.Numerics;
using System.Runtime.CompilerServices;

namespace Capacityplan.Core;

/// <summary>
/// A stream of random numbers that is the same for the same (seed, replicate, purpose) on any machine and any thread, and
/// independent of the streams of other replicates and purposes. Not safe to share between threads.
/// </summary>
/// <remarks>
/// Generator: xoshiro256** (D. Blackman and S. Vigna, "Scrambled Linear Pseudorandom Number Generators", ACM Transactions on
/// Mathematical Software 47(4), 2021), its state filled by splitmix64 (G. Steele, D. Lea and C. Flood, "Fast Splittable
/// Pseudorandom Number Generators", OOPSLA 2014) from the three numbers mixed one after the other. Normal and exponential
/// draws: the ziggurat (G. Marsaglia and W. W. Tsang, "The Ziggurat Method for Generating Random Variables", Journal of
/// Statistical Software 5(8), 2000) in the form of J. A. Doornik, which takes layer and position from separate bits. Gamma
/// draws: G. Marsaglia and W. W. Tsang, "A Simple Method for Generating Gamma Variables", ACM Transactions on Mathematical
/// Software 26(3), 2000.
/// </remarks>
public sealed class RandomSource
{
    private const ulong GoldenGamma = 0x9E3779B97F4A7C15;
    private const double Unit = 1.0 / (1UL << 53);

    private ulong _s0, _s1, _s2, _s3;

    /// <summary>Opens the stream of one purpose in one replicate.</summary>
    /// <param name="seed">The seed everything random of one answer is drawn from.</param>
    /// <param name="replicate">Number of the replicate.</param>
    /// <param name="purpose">What the stream is for; streams of different purposes are independent.</param>
    public RandomSource(ulong seed, ulong replicate = 0, ulong purpose = 0)
    {
        unchecked
        {
            // Each step is a bijection of its number, so that no two triples that differ in one number share a state.
            ulong state = Mix(seed + GoldenGamma);
            state = Mix((state ^ replicate) + GoldenGamma);
            state = Mix((state ^ purpose) + GoldenGamma);
            _s0 = Mix(state += GoldenGamma);
            _s1 = Mix(state += GoldenGamma);
            _s2 = Mix(state += GoldenGamma);
            _s3 = Mix(state + GoldenGamma);
        }
    }

    /// <summary>64 random bits.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public ulong NextBits()
    {
        unchecked
        {
            ulong result = BitOperations.RotateLeft(_s1 * 5, 7) * 9;
            ulong shifted = _s1 << 17;
            _s2 ^= _s0;
            _s3 ^= _s1;
            _s1 ^= _s2;
            _s0 ^= _s3;
            _s2 ^= shifted;
            _s3 = BitOperations.RotateLeft(_s3, 45);
            return result;
        }
    }

    /// <summary>Uniform in [0, 1), a multiple of 2^-53.</summary>
    public double NextUniform() => (NextBits() >> 11) * Unit;

    /// <summary>Uniform over 0 .. count - 1, without bias.</summary>
    /// <remarks>D. Lemire, "Fast Random Integer Generation in an Interval", ACM TOMACS 29(1), 2019.</remarks>
    /// <param name="count">How many values there are; 1 or more (not checked: this is drawn at every steal).</param>
    public int NextIndex(int count)
    {
        unchecked
        {
            uint range = (uint)count;
            ulong product = (NextBits() >> 32) * range;
            if ((uint)product < range)
            {
                uint leftOver = (0u - range) % range;
                while ((uint)product < leftOver)
                    product = (NextBits() >> 32) * range;
            }

            return (int)(product >> 32);
        }
    }

    /// <summary>Exponential with mean 1; 0 or more.</summary>
    public double NextExponential()
    {
        while (true)
        {
            ulong bits = NextBits();
            int layer = (int)(bits & 0xFF);
            double u = (bits >> 11) * Unit;
            double x = u * ExponentialZiggurat.Edge[layer];
            if (u < ExponentialZiggurat.Inside[layer])
                return x;
            if (layer == 0)
                return ExponentialZiggurat.Tail - Math.Log(1 - NextUniform());
            double low = Math.Exp(-ExponentialZiggurat.Edge[layer]);
            double high = Math.Exp(-ExponentialZiggurat.Edge[layer + 1]);
            if (low + NextUniform() * (high - low) < Math.Exp(-x))
                return x;
        }
    }

    /// <summary>Normal with mean 0 and standard deviation 1.</summary>
    public double NextNormal()
    {
        while (true)
        {
            ulong bits = NextBits();
            int layer = (int)(bits & 0x7F);
            double u = 2 * ((bits >> 11) * Unit) - 1;
            double x = u * NormalZiggurat.Edge[layer];
            if (Math.Abs(u) < NormalZiggurat.Inside[layer])
                return x;
            if (layer == 0)
                return u < 0 ? -NormalTail() : NormalTail();
            double low = NormalZiggurat.Density(NormalZiggurat.Edge[layer]);
            double high = NormalZiggurat.Density(NormalZiggurat.Edge[layer + 1]);
            if (low + NextUniform() * (high - low) < NormalZiggurat.Density(x))
                return x;
        }
    }

    /// <summary>Gamma with scale 1.</summary>
    /// <param name="shape">Above 0 (not checked).</param>
    public double NextGamma(double shape)
    {
        if (shape < 1)
        {
            // A gamma draw of shape k + 1 times U^(1/k) has shape k; U = 0 would do no harm but is left out with the rest.
            return NextGamma(shape + 1) * Math.Pow(1 - NextUniform(), 1 / shape);
        }

        double d = shape - 1.0 / 3;
        double c = 1 / Math.Sqrt(9 * d);
        while (true)
        {
            double x = NextNormal();
            double v = 1 + c * x;
            if (v <= 0)
                continue;
            v = v * v * v;
            double u = 1 - NextUniform();
            double square = x * x;
            if (u < 1 - 0.0331 * square * square || Math.Log(u) < 0.5 * square + d * (1 - v + Math.Log(v)))
                return d * v;
        }
    }

    /// <summary>Beta, from 0 to 1: the share of the first of two gamma draws in their sum.</summary>
    /// <param name="first">First shape; above 0 (not checked).</param>
    /// <param name="second">Second shape; above 0 (not checked).</param>
    public double NextBeta(double first, double second)
    {
        double a = NextGamma(first);
        double sum = a + NextGamma(second);
        // Both draws underflow only at shapes so small that nearly all the weight lies on 0 and 1.
        return sum > 0 ? a / sum : NextUniform() * (first + second) < first ? 1 : 0;
    }

    private double NormalTail()
    {
        double x, y;
        do
        {
            x = -Math.Log(1 - NextUniform()) / NormalZiggurat.Tail;
            y = -Math.Log(1 - NextUniform());
        }
        while (y + y < x * x);
        return NormalZiggurat.Tail + x;
    }

    private static ulong Mix(ulong z)
    {
        unchecked
        {
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return z ^ (z >> 31);
        }
    }

    // Layers of equal area under a falling density: Edge[i] is the width of layer i, layer 0 holding the tail; Inside[i] the
    // share of that width in which a point needs no further test.
    private static class ExponentialZiggurat
    {
        public const double Tail = 7.69711747013104972;
        private const double Area = 3.9496598225815571993e-3;
        public static readonly double[] Edge = Edges(256, Tail, Area, x => Math.Exp(-x), y => -Math.Log(y));
        public static readonly double[] Inside = Shares(Edge);
    }

    private static class NormalZiggurat
    {
        public const double Tail = 3.442619855899;
        private const double Area = 9.91256303526217e-3;
        public static readonly double[] Edge = Edges(128, Tail, Area, Density, y => Math.Sqrt(-2 * Math.Log(y)));
        public static readonly double[] Inside = Shares(Edge);

        public static double Density(double x) => Math.Exp(-0.5 * x * x);
    }

    private static double[] Edges(int layers, double tail, double area, Func<double, double> density, Func<double, double> inverse)
    {
        double[] edge = new double[layers + 1];
        edge[0] = area / density(tail);
        edge[1] = tail;
        for (int i = 2; i < layers; i++)
            edge[i] = inverse(area / edge[i - 1] + density(edge[i - 1]));
        return edge;
    }

    private static double[] Shares(double[] edge)
    {
        double[] inside = new double[edge.Length - 1];
        for (int i = 0; i < inside.Length; i++)
            inside[i] = edge[i + 1] / edge[i];
        return inside;
    }
}
