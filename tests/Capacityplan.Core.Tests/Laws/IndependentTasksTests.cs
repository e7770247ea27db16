using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// R. L. Graham, "Bounds on Multiprocessing Timing Anomalies", SIAM Journal on Applied Mathematics 17(2), 1969.
public sealed class IndependentTasksTests
{
    [Fact]
    public void ListScheduleCeilingSeconds_AnyTasksInAnyOrder_HoldsTheListSchedule() =>
        Gen.Select(Gen.Double[0, 10].Select(x => x * x).Array[1, 60], Gen.Int[1, 12]).ForAll(drawn =>
        {
            (double[] tasks, int cores) = drawn;
            double ceiling = IndependentTasks.ListScheduleCeilingSeconds(tasks.Sum(), tasks.Max(), cores);
            Assert.InRange(ListSchedule(tasks, cores), tasks.Sum() / cores * (1 - 1e-12), ceiling * (1 + 1e-12));
        });

    // p (p - 1) short tasks first and one as long as p of them last: the order the bound is exact for.
    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    [InlineData(16)]
    public void ListScheduleCeilingSeconds_TheLongestTaskLast_IsReached(int cores)
    {
        double[] tasks = [.. Enumerable.Repeat(1.0, cores * (cores - 1)), cores];
        Assert.Equal(ListSchedule(tasks, cores), IndependentTasks.ListScheduleCeilingSeconds(tasks.Sum(), cores, cores), 1e-9);
    }

    private static double ListSchedule(double[] tasks, int cores)
    {
        double[] freeAt = new double[cores];
        foreach (double task in tasks)
            freeAt[Array.IndexOf(freeAt, freeAt.Min())] += task;
        return freeAt.Max();
    }
}
