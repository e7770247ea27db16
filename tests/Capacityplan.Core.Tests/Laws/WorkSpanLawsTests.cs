using Capacityplan.Core.Laws;
using CsCheck;

namespace Capacityplan.Core.Tests.Laws;

// R. P. Brent, Journal of the ACM 21(2), 1974; R. L. Graham, Bell System Technical Journal 45(9), 1966.
public sealed class WorkSpanLawsTests
{
    private static readonly Gen<(double Work, double Span, double Cores)> s_jobs =
        Gen.Select(Gen.Double[1e-6, 1e6], Gen.Double[0, 1], Gen.Double[1, 2000], (work, share, cores) => (work, work * share, cores));

    // T. Tobita and H. Kasahara, "A standard task graph set ...", Journal of Scheduling 5(5), 2002: proved optima.
    [Fact]
    public void FloorAndCeiling_TaskGraphsWithKnownOptima_EncloseEveryOptimum()
    {
        IReadOnlyList<ReferenceTable> graphs = ReferenceTable.Rows("stg/stg-reference.csv");
        Assert.True(graphs.Count > 100);
        Assert.All(graphs, row =>
        {
            (double work, double span, double cores) = (row.Number("work"), row.Number("span"), row.Number("m"));
            double ceiling = WorkSpanLaws.GreedyCeilingSeconds(work, span, cores);
            Assert.InRange(row.Number("optimal_makespan"), WorkSpanLaws.FloorSeconds(work, span, cores), ceiling + 1e-9);
        });
    }

    // The same graphs, scheduled by our own two greedy list schedulers.
    [Fact]
    public void FloorAndCeiling_GreedySchedulesOfTaskGraphs_EncloseEveryMakespan()
    {
        ILookup<string, ReferenceTable> graphs = ReferenceTable.Rows("stg/stg-reference.csv")
            .ToLookup(row => row.Text("set") + "/" + row.Text("graph"));
        IReadOnlyList<ReferenceTable> schedules = ReferenceTable.Rows("stg/stg-greedy.csv");
        Assert.True(schedules.Count > 100);
        Assert.All(schedules, row =>
        {
            ReferenceTable graph = graphs[row.Text("set") + "/" + row.Text("graph")].First();
            (double work, double span, double cores) = (graph.Number("work"), graph.Number("span"), row.Number("m"));
            double floor = WorkSpanLaws.FloorSeconds(work, span, cores);
            double ceiling = WorkSpanLaws.GreedyCeilingSeconds(work, span, cores) + 1e-9;
            Assert.InRange(row.Number("fifo_makespan"), floor, ceiling);
            Assert.InRange(row.Number("id_order_makespan"), floor, ceiling);
        });
    }

    [Fact]
    public void Bounds_AnyJob_AreOrderedAndWithinAFactorOfTwo() =>
        s_jobs.ForAll(job =>
        {
            double floor = WorkSpanLaws.FloorSeconds(job.Work, job.Span, job.Cores);
            double ceiling = WorkSpanLaws.GreedyCeilingSeconds(job.Work, job.Span, job.Cores);
            Assert.InRange(ceiling, floor, 2 * floor);
            Assert.InRange(floor, job.Span, job.Work);
        });

    [Fact]
    public void Bounds_MoreCores_NeverRise() =>
        Gen.Select(s_jobs, Gen.Double[1, 10]).ForAll(drawn =>
        {
            ((double work, double span, double cores), double factor) = drawn;
            Assert.True(WorkSpanLaws.FloorSeconds(work, span, cores * factor) <= WorkSpanLaws.FloorSeconds(work, span, cores));
            Assert.True(WorkSpanLaws.GreedyCeilingSeconds(work, span, cores * factor)
                <= WorkSpanLaws.GreedyCeilingSeconds(work, span, cores) * (1 + 1e-12));
        });

    [Fact]
    public void Bounds_OneCore_AreTheWorkToTheLastDigit() =>
        s_jobs.ForAll(job =>
        {
            Assert.Equal(job.Work, WorkSpanLaws.FloorSeconds(job.Work, job.Span, 1));
            Assert.Equal(job.Work, WorkSpanLaws.GreedyCeilingSeconds(job.Work, job.Span, 1));
        });

    [Fact]
    public void SpanBindsFromCores_AtThatCoreCount_SpanAndShareAreEqual()
    {
        double cores = WorkSpanLaws.SpanBindsFromCores(100, 4)!.Value;
        Assert.Equal(24, cores, 1e-12);
        Assert.Equal(4, (100 - 4) / cores, 1e-12);
    }

    [Fact]
    public void Parallelism_WorkOverSpan_AndNoneWithoutASpan()
    {
        Assert.Equal(25, WorkSpanLaws.Parallelism(100, 4)!.Value, 1e-12);
        Assert.Null(WorkSpanLaws.Parallelism(100, 0));
        Assert.Null(WorkSpanLaws.SpanBindsFromCores(100, 0));
    }

    [Fact]
    public void FloorSeconds_SpanAboveTheWork_IsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>("spanSeconds", () => WorkSpanLaws.FloorSeconds(1, 1.1, 2));
}
