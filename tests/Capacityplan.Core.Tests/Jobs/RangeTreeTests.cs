using Capacityplan.Core.Jobs;
using CsCheck;

namespace Capacityplan.Core.Tests.Jobs;

// reference/stealing/SOURCE.md says what tree_counts.csv holds.
public sealed class RangeTreeTests
{
    // Leaves on two levels: of 543 units, 32 ranges of 16 or 17; those of 16 are leaves, the 31 of 17 fork once more into 8 and 9.
    [Fact]
    public void LeafSizes_LeavesOnTwoLevels_AreCountedBySize()
    {
        Assert.Equal([(9, 62), (16, 1)], new RangeTree(543, 16).LeafSizes());
        Assert.Equal([(1, 4096)], new RangeTree(4096, 1).LeafSizes());
        Assert.Equal([(7, 1)], new RangeTree(7, 9).LeafSizes());
        foreach (long units in new long[] { 2, 77, 1000, 12_345 })
        {
            foreach (long grain in new long[] { 1, 3, 10 })
            {
                var tree = new RangeTree(units, grain);
                Assert.Equal(tree.Leaves, tree.LeafSizes().Sum(leaf => leaf.Count));
                Assert.Equal(tree.LargestLeaf, tree.LeafSizes()[^1].Units);
            }
        }
    }

    [Fact]
    public void RangeTree_ReferenceCounts_AreMetExactly()
    {
        IReadOnlyList<ReferenceTable> rows = ReferenceTable.Rows("stealing/tree_counts.csv");
        Assert.Equal(55, rows.Count);
        var costs = new SchedulingCosts { ForkSeconds = 5e-8, JoinSeconds = 5e-8, CombineSecondsPerUnit = 1e-9 };
        Assert.All(rows, row =>
        {
            var tree = new RangeTree((long)row.Number("N"), (long)row.Number("grain"));
            Assert.Equal((long)row.Number("forks"), tree.Forks);
            Assert.Equal((long)row.Number("leaves"), tree.Leaves);
            Assert.Equal((long)row.Number("sum_internal_sizes"), tree.JoinedUnits);
            Assert.Equal((long)row.Number("sum_right_sizes"), tree.PushedUnits);
            var phase = new ParallelPhase("unit tasks", tree.Units, new ConstantSizes(1e-5), tree.Grain, costs);
            Assert.Equal(1, phase.WorkSeconds / row.Number("T1_const_1e-5_of_50ns_oj_50ns_c_1ns"), 1e-12);
            Assert.Equal(1, phase.SpanSeconds / row.Number("Tinf_same"), 1e-12);
        });
    }

    [Fact]
    public void RangeTree_AnySize_CountsWhatHalvingCounts() =>
        Gen.Select(Gen.Int[1, 3000], Gen.Int[1, 40]).ForAll(
            drawn =>
            {
                (int units, int grain) = drawn;
                var tree = new RangeTree(units, grain);
                var counted = Halve(units, grain);
                Assert.Equal(counted.Forks, tree.Forks);
                Assert.Equal(counted.Joined, tree.JoinedUnits);
                Assert.Equal(counted.Pushed, tree.PushedUnits);
                Assert.Equal(counted.LargestLeaf, tree.LargestLeaf);
                Assert.Equal(counted.LastLeaf, tree.Shapes[0].LastLeafUnits);
                Assert.Equal(counted.SpineForks, tree.Shapes[0].SpineForks);
                Assert.Equal(counted.SpineUnits, tree.Shapes[0].SpineUnits);
            },
            count: 300);

    [Fact]
    public void RangeTree_ManyUnits_IsATableOfTwoSizesALevel()
    {
        var tree = new RangeTree(10_000_000_000, 1);
        Assert.Equal(9_999_999_999, tree.Forks);
        Assert.Equal(2 * 35, tree.Shapes.Length);
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(1, 0)]
    [InlineData(RangeTree.MostUnits + 1, 1)]
    public void RangeTree_CountsOutsideTheirRange_AreRefused(long units, long grain) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new RangeTree(units, grain));

    private static (long Forks, long Joined, long Pushed, long LargestLeaf, long LastLeaf, int SpineForks, long SpineUnits) Halve(
        long n, long grain)
    {
        if (n <= grain)
            return (0, 0, 0, n, n, 0, 0);
        var left = Halve(n / 2, grain);
        var right = Halve(n - n / 2, grain);
        return (
            1 + left.Forks + right.Forks, n + left.Joined + right.Joined, n - n / 2 + left.Pushed + right.Pushed,
            Math.Max(left.LargestLeaf, right.LargestLeaf), right.LastLeaf, 1 + right.SpineForks, n + right.SpineUnits);
    }
}
