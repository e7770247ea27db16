using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class PlanDraftReaderTests
{
    private static readonly PlanDraft s_draft = new()
    {
        Name = "Night tiles",
        StartsAt = "04:00",
        DoneBy = "05:00",
        Memory = "24 GiB",
        HeavyOneIn = "14",
        HeavyFactor = "1.45",
        Growth = "1 %",
        MeasuredOnCores = "8",
        TimingsText = "cores,seconds\n1,812\n4,231.5\n",
    };

    [Fact]
    public void Read_OfWholeBlanks_GivesThePlan()
    {
        Plan plan = PlanDraftReader.Read(s_draft).Plan!;

        Assert.Equal(3600, plan.Window!.Seconds);
        Assert.Equal(0.95, plan.Window.TargetChance, 1e-12);
        Assert.Equal(new TimeOnly(4, 0), plan.Window.StartsAt);
        Assert.Equal(24, plan.MemoryGiB, 1e-12);
        Assert.Equal(1.0 / 14, plan.Nights.HeavyShare, 1e-12);
        Assert.Equal(1.45, plan.Nights.HeavyFactor, 1e-12);
        Assert.Equal(0.01, plan.GrowthPerMonth, 1e-12);
        Assert.Equal(30.4, plan.RunsPerMonth, 1e-12);
        Assert.Equal(0.25, plan.SecondThreadGain, 1e-12);
        Assert.Equal(8, plan.MeasuredOn.PhysicalCores);
        Assert.Equal([new Timing(1, 812), new Timing(4, 231.5)], plan.Timings);
    }

    [Theory]
    [InlineData("", "60 min", 3600)]
    [InlineData("", "1h30", 5400)]
    [InlineData("04:00", "90 min", 5400)]
    [InlineData("04:00", "05:30", 5400)]
    [InlineData("4", "5:30", 5400)]
    [InlineData("22:00", "23:59", 7140)]
    [InlineData("", "26:00", 1560)]
    [InlineData("04:00", "1:30:00", 5400)]
    public void Read_OfAWindow_TakesATimeOfDayOrALength(string start, string end, double seconds) =>
        Assert.Equal(seconds, PlanDraftReader.Read(s_draft with { StartsAt = start, DoneBy = end }).Plan!.Window!.Seconds);

    [Fact]
    public void Read_OfAWindowOverMidnight_AsksFirst_AndThenCountsTheNextDay()
    {
        PlanDraft night = s_draft with { StartsAt = "23:00", DoneBy = "05:00" };
        PlanDraftReading asked = PlanDraftReader.Read(night);

        Assert.Equal(PlanQuestion.NextDay, asked.Question);
        Assert.Null(asked.Plan);
        Assert.Contains("Is 05:00 the next day?", asked.Waiting!.Sentence, StringComparison.Ordinal);
        Assert.Equal(6 * 3600, PlanDraftReader.Read(night with { EndsNextDay = true }).Plan!.Window!.Seconds);
    }

    [Fact]
    public void Read_WithoutAWindow_IsAPlanWithoutOne() =>
        Assert.Null(PlanDraftReader.Read(s_draft with { DoneBy = "" }).Plan!.Window);

    [Theory]
    [InlineData(nameof(PlanDraft.DoneBy), "soon")]
    [InlineData(nameof(PlanDraft.DoneBy), "26:00")]
    [InlineData(nameof(PlanDraft.StartsAt), "early")]
    [InlineData(nameof(PlanDraft.MissOneIn), "0")]
    [InlineData(nameof(PlanDraft.MissOneIn), "never")]
    [InlineData(nameof(PlanDraft.Runs), "sometimes")]
    [InlineData(nameof(PlanDraft.Memory), "abc")]
    [InlineData(nameof(PlanDraft.HeavyOneIn), "0")]
    [InlineData(nameof(PlanDraft.HeavyFactor), "-1")]
    [InlineData(nameof(PlanDraft.Growth), "a lot")]
    [InlineData(nameof(PlanDraft.MeasuredOnCores), "8.5")]
    [InlineData(nameof(PlanDraft.MeasuredOnSpeed), "0")]
    [InlineData(nameof(PlanDraft.SecondThreadGain), "200 %")]
    [InlineData(nameof(PlanDraft.Work), "much")]
    [InlineData(nameof(PlanDraft.Tasks), "0")]
    [InlineData(nameof(PlanDraft.Fork), "-5 ns")]
    [InlineData(nameof(PlanDraft.WhatIfInput), "double")]
    [InlineData(nameof(PlanDraft.WhatIfCores), "1.5")]
    public void Read_OfABlankItCannotUnderstand_NamesTheBlankAndWhatToType(string blank, string typed)
    {
        PlanDraft draft = With(blank, typed);
        PlanDraftReading reading = PlanDraftReader.Read(draft);

        Problem problem = Assert.Single(reading.Blanks);
        Assert.Equal(blank, problem.Path);
        Assert.Equal(ProblemSeverity.Error, problem.Severity);
        Assert.Contains(typed, problem.Message, StringComparison.Ordinal);
        Assert.Equal(PlanQuestion.Correction, reading.Question);
        Assert.Null(reading.Plan);
        Assert.Equal(draft, reading.Draft);
    }

    [Fact]
    public void Read_OfASpanWithoutItsWork_OrLongerThanIt_SaysWhich()
    {
        Assert.Equal(nameof(PlanDraft.Span), Assert.Single(PlanDraftReader.Read(s_draft with { Work = "10 min" }).Blanks).Path);
        Assert.Equal(nameof(PlanDraft.Span), Assert.Single(PlanDraftReader.Read(s_draft with { Work = "10 min", Span = "11 min" }).Blanks).Path);
        Assert.Equal(600, PlanDraftReader.Read(s_draft with { Work = "10 min", Span = "0 s" }).Plan!.WorkAndSpan!.WorkSeconds);
    }

    [Fact]
    public void Read_OfNothing_AsksForTimings() =>
        Assert.Equal(PlanQuestion.Description, PlanDraftReader.Read(new PlanDraft()).Question);

    [Fact]
    public void Read_OfOneCoreCount_SaysAPointIsNoCurve()
    {
        PlanDraftReading reading = PlanDraftReader.Read(s_draft with { TimingsText = "4 cores: 12 s\n4 cores: 13 s" });

        Assert.Equal(PlanQuestion.SecondCoreCount, reading.Question);
        Assert.Equal("One timing is a point, not a curve.", reading.Waiting!.Sentence);
        Assert.NotNull(PlanDraftReader.Read(reading.Draft with { Work = "50 s", Span = "1 s" }).Plan);
    }

    [Fact]
    public void Read_OfSpeedupsAlone_AsksForOneTime_AndScalesByIt()
    {
        PlanDraft draft = s_draft with { TimingsText = "cores,speedup\n1,1\n2,1.9\n4,3.4" };

        Assert.Equal(PlanQuestion.BaseTime, PlanDraftReader.Read(draft).Question);
        Plan plan = PlanDraftReader.Read(draft with { BaseTime = "10 min" }).Plan!;
        Assert.Equal(600, plan.Timings[0].Seconds, 1e-9);
        Assert.Equal(600 / 3.4, plan.Timings[2].Seconds, 1e-9);
    }

    [Fact]
    public void Read_OfTheDemo_GivesTheDemosJob()
    {
        PlanDraft demo = s_draft with
        {
            TimingsText = "cores   time\n1       6h 28m\n2       3:16:40\n2       3:20:30\n4       104.1 min\n4       1h45m50s\n6       4 420 s\n8       56m50\n8       58,6 min\n12      - killed by the backup\n",
        };
        PlanDraftReading reading = PlanDraftReader.Read(demo);

        Assert.Equal(TidemarkJob.Timings.Select(timing => (timing.Cores, timing.Seconds)), reading.Plan!.Timings.Select(timing => (timing.Cores, Math.Round(timing.Seconds, 9))));
        Problem left = Assert.Single(reading.Timings.Problems);
        Assert.Equal((10, 9, ProblemSeverity.Warning), (left.Line, left.Column, left.Severity));
    }

    private static PlanDraft With(string blank, string typed)
    {
        // Records copy through their own clone; the blank is then set by its name.
        PlanDraft copy = s_draft with { Span = blank == nameof(PlanDraft.Work) ? "1 s" : "" };
        typeof(PlanDraft).GetProperty(blank)!.SetValue(copy, typed);
        return copy;
    }
}
