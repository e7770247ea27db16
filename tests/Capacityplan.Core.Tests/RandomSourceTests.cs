using MathNet.Numerics;

namespace Capacityplan.Core.Tests;

public sealed class RandomSourceTests
{
    private const int Draws = 100_000;

    [Fact]
    public void RandomSource_SeedReplicateAndPurpose_EachOpenAnotherStream()
    {
        static ulong First(ulong seed, ulong replicate, ulong purpose) => new RandomSource(seed, replicate, purpose).NextBits();
        Assert.Equal(First(1, 2, 3), First(1, 2, 3));
        var first = new HashSet<ulong>();
        for (ulong seed = 0; seed < 8; seed++)
        {
            for (ulong replicate = 0; replicate < 8; replicate++)
            {
                for (ulong purpose = 0; purpose < 8; purpose++)
                    first.Add(First(seed, replicate, purpose));
            }
        }

        Assert.Equal(512, first.Count);
    }

    // Pinned: a saved plan's figures must not change with a new version.
    [Fact]
    public void NextBits_FirstNumbers_StayWhatTheyAre()
    {
        var random = new RandomSource(1);
        Assert.Equal([4502905892030763666UL, 8244539360862257095UL, 4796467816299365045UL], new[] { random.NextBits(), random.NextBits(), random.NextBits() });
    }

    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(63)]
    public void NextIndex_AnyCount_IsUniform(int count)
    {
        var random = new RandomSource(5);
        int[] seen = new int[count];
        for (int i = 0; i < Draws; i++)
            seen[random.NextIndex(count)]++;
        double expected = (double)Draws / count;
        double chiSquared = seen.Sum(n => Math.Pow(n - expected, 2) / expected);
        // Mean count - 1, variance 2 (count - 1).
        Assert.InRange(chiSquared, count - 1 - 4.5 * Math.Sqrt(2 * (count - 1)), count - 1 + 4.5 * Math.Sqrt(2 * (count - 1)));
    }

    [Fact]
    public void NextIndex_CountThatDoesNotDivideTheBits_HasNoBias()
    {
        // Three quarters of 2^32 values: taken modulo, the lower third would come up twice as often as the rest.
        var random = new RandomSource(6);
        int low = 0;
        const int Count = 1_610_612_736;
        for (int i = 0; i < Draws; i++)
            low += random.NextIndex(Count) < Count / 3 ? 1 : 0;
        Assert.InRange(low / (double)Draws, 1.0 / 3 - 0.005, 1.0 / 3 + 0.005);
    }

    [Fact]
    public void NextUniform_Draws_FollowTheirDistribution() => Follows(random => random.NextUniform(), x => x);

    [Fact]
    public void NextExponential_Draws_FollowTheirDistribution() => Follows(random => random.NextExponential(), x => 1 - Math.Exp(-x));

    [Fact]
    public void NextNormal_Draws_FollowTheirDistribution() =>
        Follows(random => random.NextNormal(), x => 0.5 * SpecialFunctions.Erfc(-x / Math.Sqrt(2)));

    [Theory]
    [InlineData(0.2)]
    [InlineData(1.0)]
    [InlineData(3.7)]
    [InlineData(250.0)]
    public void NextGamma_Draws_FollowTheirDistribution(double shape) =>
        Follows(random => random.NextGamma(shape), x => SpecialFunctions.GammaLowerRegularized(shape, x));

    [Theory]
    [InlineData(0.5, 0.5)]
    [InlineData(1.0, 40.0)]
    [InlineData(30.0, 31.0)]
    public void NextBeta_Draws_FollowTheirDistribution(double a, double b) =>
        Follows(random => random.NextBeta(a, b), x => SpecialFunctions.BetaRegularized(a, b, Math.Clamp(x, 0, 1)));

    [Fact]
    public void NextBeta_VanishingShapes_AreZeroOrOneInTheirProportion()
    {
        var random = new RandomSource(8);
        double[] drawn = [.. Enumerable.Range(0, 4000).Select(_ => random.NextBeta(1e-5, 3e-5))];
        Assert.All(drawn, share => Assert.InRange(share, 0, 1));
        Assert.Equal(0.25, drawn.Average(), 0.03);
    }

    // Kolmogorov and Smirnov's largest distance; sqrt(n) D exceeds 2.2 in one sample of ten thousand.
    private static void Follows(Func<RandomSource, double> draw, Func<double, double> distribution)
    {
        var random = new RandomSource(4);
        double[] drawn = [.. Enumerable.Range(0, Draws).Select(_ => draw(random))];
        Array.Sort(drawn);
        double distance = 0;
        for (int i = 0; i < Draws; i++)
        {
            double expected = distribution(drawn[i]);
            distance = Math.Max(distance, Math.Max(expected - (double)i / Draws, (i + 1.0) / Draws - expected));
        }

        Assert.InRange(distance * Math.Sqrt(Draws), 0, 2.2);
    }
}
