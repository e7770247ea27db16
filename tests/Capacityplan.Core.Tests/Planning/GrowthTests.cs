using System.Collections.Immutable;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class GrowthTests
{
    private static readonly ScalingForecast s_scaling = Planner.Scale(TidemarkJob.Plan);

    [Fact]
    public void FactorAt_OfATable_GrowsEvenlyBetweenItsMonthsAndByTheRatePastThem()
    {
        var growth = new ExpectedGrowth(0.02, [new GrowthPoint(6, 1.21), new GrowthPoint(12, 2)]);

        Assert.Equal(1, growth.FactorAt(0));
        Assert.Equal(1.1, growth.FactorAt(3), 1e-12);
        Assert.Equal(1.21, growth.FactorAt(6), 1e-12);
        Assert.Equal(2 * 1.02 * 1.02, growth.FactorAt(14), 1e-12);
        Assert.Equal(6, growth.MonthsUntilAbove(1.21)!.Value, 1e-9);
        Assert.Equal(1.21 * 1.21, growth.Faster(2).FactorAt(6), 1e-12);
        Assert.Equal(Math.Log(1.4) / Math.Log(1.01), new ExpectedGrowth(0.01).MonthsUntilAbove(1.4)!.Value, 1e-12);
        Assert.Null(new ExpectedGrowth(0).MonthsUntilAbove(1.1));
        Assert.Throws<ArgumentException>(() => new ExpectedGrowth(0, [new GrowthPoint(6, 2), new GrowthPoint(6, 3)]));
    }

    [Fact]
    public void TimeFactor_FollowsTheFormula()
    {
        Assert.Equal(2, InputWork.Proportional.TimeFactor(2));
        Assert.Equal(4, new InputWork { Formula = WorkFormula.Square }.TimeFactor(2));
        // 2^20 items doubled: 2^21 x 21 over 2^20 x 20.
        Assert.Equal(2.1, new InputWork { Formula = WorkFormula.TimesLogarithm, Items = 1 << 20 }.TimeFactor(2), 1e-12);
    }

    [Fact]
    public void Evaluate_WithWorkThatGrowsWithTheSquare_TakesFourTimesAsLongForTwiceTheInput()
    {
        Plan square = TidemarkJob.Plan with { InputWork = new InputWork { Formula = WorkFormula.Square } };
        MachineOutcome was = Of(square), doubled = Of(square with { InputFactor = 2 });

        Assert.Equal(4, doubled.RunSeconds.Median / was.RunSeconds.Median, 1e-9);
        Assert.Equal(was.RunSeconds.Median * 1.45 * 1.45 + 45, was.HeavyStartToFinishSeconds!.Value.Median, 1e-6);
        Assert.True(was.LargestInputFactor < Of(TidemarkJob.Plan).LargestInputFactor);

        static MachineOutcome Of(Plan plan) =>
            Planner.Evaluate(plan, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling).Machines.First(outcome => outcome.Machine.Name == "Heron-32");
    }

    [Fact]
    public void Of_TheDemo_FollowsTheCheapestMachineOfEveryMonth()
    {
        Plan plan = TidemarkJob.Plan with { GrowthPerMonth = 0.03 };
        PlanResult today = Evaluate(plan);
        GrowthOutlook outlook = GrowthOutlook.Of(today, s_scaling, TestContext.Current.CancellationToken);

        Assert.Equal(GrowthOutlook.PathMonths, outlook.Path.Sum(stretch => stretch.Months));
        Assert.Equal(today.Verdict.Choice, outlook.Path[0].Outcome);
        Assert.Equal(outlook.Total, outlook.Path.Sum(stretch => stretch.Cost));
        // Each stretch begins with what a plan with that month's input chooses, and costs that month what that plan says.
        foreach (PathStretch stretch in outlook.Path)
        {
            PlanResult then = Evaluate(plan with { InputFactor = Math.Pow(1.03, stretch.From) });
            Assert.Equal(then.Verdict.State == VerdictState.Holds ? then.Verdict.Choice!.Machine.Name : null, stretch.Outcome?.Machine.Name);
            if (stretch.Outcome is not null)
                Assert.Equal((double)then.Verdict.Choice!.CostPerMonth, (double)stretch.FirstMonth, 0.002 * (double)stretch.FirstMonth);
        }

        Assert.True(outlook.Path.Length > 1);
    }

    [Fact]
    public void Of_TheDemo_FindsTheMonthEachMachineFirstMisses()
    {
        Plan plan = TidemarkJob.Plan with { GrowthPerMonth = 0.03 };
        GrowthOutlook outlook = GrowthOutlook.Of(Evaluate(plan), s_scaling, TestContext.Current.CancellationToken);

        Assert.NotEmpty(outlook.Lanes);
        foreach (GrowthLane lane in outlook.Lanes.Where(lane => lane.MissedFrom is > 0))
        {
            Assert.True(HoldsAt(lane, lane.MissedFrom!.Value - 1) && !HoldsAt(lane, lane.MissedFrom.Value));
            Assert.True(lane.Early <= (lane.Late ?? int.MaxValue));
        }

        bool HoldsAt(GrowthLane lane, int month) => Evaluate(plan with { InputFactor = Math.Pow(1.03, month) }).Machines
            .First(outcome => outcome.Machine == lane.Outcome.Machine).MeetsTarget;
    }

    [Fact]
    public void Of_APlanWithoutAWindow_IsEmpty() =>
        Assert.Empty(GrowthOutlook.Of(Evaluate(TidemarkJob.Plan with { Window = null }), s_scaling, TestContext.Current.CancellationToken).Path);

    [Fact]
    public void OfPast_Nights_CountsTheChanceOverAllOfThem()
    {
        // 18 usual nights and two of 1.5 times the input: as a tenth of heavy nights stated.
        double[] nights = [.. Enumerable.Repeat(100.0, 18), 150, 150];
        MachineOutcome past = Heron(Nights.OfPast(nights, areRunTimes: false)), stated = Heron(new Nights(0.1, 1.5));

        Assert.Equal(stated.ChanceInWindow!.Value, past.ChanceInWindow!.Value, 1e-9);
        Assert.Equal(stated.ChanceOnHeavyNights!.Value, past.ChanceOnHeavyNights!.Value, 1e-9);
        Assert.Equal(stated.HeavyStartToFinishSeconds!.Value.Median, past.HeavyStartToFinishSeconds!.Value.Median, 1e-6);
        Assert.Equal(0, Nights.OfPast([1, 1.01, 0.99], areRunTimes: false).HeavyShare);

        static MachineOutcome Heron(Nights nights) => Evaluate(TidemarkJob.Plan with { Nights = nights }).Machines.First(outcome => outcome.Machine.Name == "Heron-16");
    }

    [Fact]
    public void OfPast_ManyNights_AreGatheredWithTheirMeansAndTail()
    {
        double[] nights = [.. Enumerable.Range(1, 365).Select(night => 50.0 + night)];
        Nights known = Nights.OfPast(nights, areRunTimes: true);

        Assert.Equal(1, known.Kinds.Sum(kind => kind.Share), 1e-12);
        Assert.Equal(nights.Average() / 233, known.Kinds.Sum(kind => kind.Share * kind.Factor), 1e-9);
        Assert.Equal(37.0 / 365, known.HeavyShare, 1e-12);
        Assert.True(known.AreRunTimes && known.Kinds.Length <= 24);
    }

    [Fact]
    public void OfPast_RunTimes_AreNotPutThroughTheFormulaOfTheInput()
    {
        Plan square = TidemarkJob.Plan with { InputWork = new InputWork { Formula = WorkFormula.Square } };
        double[] nights = [1, 1, 1, 1, 1, 1, 1, 1, 1, 1.5];
        MachineOutcome Heavy(bool areRunTimes) => Evaluate(square with { Nights = Nights.OfPast(nights, areRunTimes) }).Machines.First(outcome => outcome.Machine.Name == "Heron-32");

        Assert.Equal(1.5, (Heavy(true).HeavyStartToFinishSeconds!.Value.Median - 45) / Heavy(true).RunSeconds.Median, 1e-9);
        Assert.Equal(2.25, (Heavy(false).HeavyStartToFinishSeconds!.Value.Median - 45) / Heavy(false).RunSeconds.Median, 1e-9);
    }

    [Fact]
    public void Read_OfADraft_TakesTableFormulaAndPastNights()
    {
        PlanDraftReading reading = PlanDraftReader.Read(new PlanDraft
        {
            TimingsText = "1 100\n4 30",
            Growth = "1 %",
            GrowthTable = "6 1.15\nsoon 2\n12 +40 %",
            WorkGrows = WorkFormula.TimesLogarithm,
            InputItems = "50,000",
            PastNights = "5.2 GB\n4.8 GB\n9.9 GB\nlost 3",
            HeavyOneIn = "14",
            HeavyFactor = "3",
        });

        ImmutableArray<GrowthPoint> points = reading.Plan!.Growth.Points;
        Assert.Equal([new GrowthPoint(6, 1.15), new GrowthPoint(12, 1.4)], points);
        Assert.Equal(new InputWork { Formula = WorkFormula.TimesLogarithm, Items = 50_000 }, reading.Plan.InputWork);
        Assert.Equal(3, reading.Plan.Nights.Past);
        Assert.Equal(9.9 / 5.2, reading.Plan.Nights.HeavyFactor, 1e-9);
        Assert.Equal([(nameof(PlanDraft.GrowthTable), 2), (nameof(PlanDraft.PastNights), 4)], reading.Notes.Select(note => (note.Path!, note.Line!.Value)).Order());
    }

    private static PlanResult Evaluate(Plan plan) => Planner.Evaluate(plan, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling);
}
