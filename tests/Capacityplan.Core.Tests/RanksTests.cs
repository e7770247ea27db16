using CsCheck;

namespace Capacityplan.Core.Tests;

public sealed class RanksTests
{
    // Near together, far apart, alike, and infinite, as times of interrupted runs are.
    private static readonly Gen<double[]> s_figures = Gen.OneOf(
        Gen.Double[100, 130].Array[1, 3_000],
        Gen.Double[-3, 11].Select(power => Math.Pow(10, power)).Array[1, 3_000],
        Gen.Int[1, 5].Select(one => (double)one).Array[1, 300],
        Gen.OneOf(Gen.Double[1, 2], Gen.Const(1e12), Gen.Const(double.PositiveInfinity), Gen.Const(double.Epsilon)).Array[1, 100]);

    [Fact]
    public void Find_OfAnyRanks_GivesTheFiguresThatSortingPutsThere() =>
        Gen.Select(s_figures, Gen.Int[0, int.MaxValue].Array[1, 8]).ForAll(
            one =>
            {
                (double[] figures, int[] places) = one;
                int[] ranks = [.. places.Select(place => place % figures.Length)];
                double[] found = new double[ranks.Length];
                Ranks.Find(figures, ranks, found);
                double[] sorted = [.. figures.Order()];
                Assert.Equal(ranks.Select(rank => sorted[rank]), found);
            },
            400);

    [Fact]
    public void Sort_PutsFiguresInOrder() =>
        s_figures.ForAll(
            figures =>
            {
                double[] finite = [.. figures.Where(double.IsFinite), 0, -1];
                double[] sorted = [.. finite];
                Ranks.Sort(sorted);
                Assert.Equal(finite.Order(), sorted);
            },
            400);

    [Fact]
    public void LayerMeans_AreThoseOfSortedFigures() =>
        Gen.Select(Gen.OneOf(Gen.Double[0, 50], Gen.Double[49, 50], Gen.Const(7.0)).Array[960], Gen.Int[1, 3]).ForAll(
            one =>
            {
                // Some nights in a row end alike.
                double[] figures = [.. one.Item1.Select(figure => one.Item2 == 3 ? Math.Floor(figure) : figure)];
                double[] sorted = [.. figures.Order()];
                double[] means = new double[32];
                Ranks.LayerMeans(figures, means);
                for (int layer = 0; layer < means.Length; layer++)
                    Assert.Equal(sorted.Skip(layer * 30).Take(30).Average(), means[layer], 1e-10);
            },
            60);
}
