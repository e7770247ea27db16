using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Plans;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

public sealed class PlanSessionTests
{
    private static readonly DemoData s_demo = DemoData.Load();

    [Fact]
    public async Task Start_OfTheDemo_GivesItsVerdict()
    {
        await using PlanSession session = await SettledAsync();

        Assert.Equal(AnswerStage.Done, session.Stage);
        Assert.Null(session.Fault);
        Assert.Equal(VerdictState.Holds, session.Result!.Verdict.State);
        Assert.Equal(8, session.Reading.Timings.Timings.Length);
    }

    [Fact]
    public async Task Change_OfTheWindow_GivesANewVerdict()
    {
        await using PlanSession session = await SettledAsync();
        PlanResult before = session.Result!;

        session.Change(session.Draft with { DoneBy = "04:18" });
        await session.WhenSettledAsync();

        Assert.Equal(AnswerStage.Done, session.Stage);
        Assert.Equal(VerdictState.Misses, session.Result!.Verdict.State);
        Assert.Equal(before.Forecast.WorkSeconds, session.Result.Forecast.WorkSeconds);
    }

    [Fact]
    public async Task Change_ToRubbish_KeepsTheLastAnswerAndTheText()
    {
        await using PlanSession session = await SettledAsync();
        PlanResult before = session.Result!;

        session.Change(session.Draft with { TimingsText = "no numbers at all" });
        await session.WhenSettledAsync();

        Assert.Same(before, session.Result);
        Assert.True(session.IsOld);
        Assert.Equal(AnswerStage.Stale, session.Stage);
        Assert.Equal(PlanQuestion.Correction, session.Reading.Question);
        Assert.Equal("no numbers at all", session.Draft.TimingsText);

        session.Change(session.Draft with { TimingsText = s_demo.Plan.TimingsText });
        await session.WhenSettledAsync();
        Assert.Equal(AnswerStage.Done, session.Stage);
        Assert.Equal(before.Verdict.Sentence, session.Result!.Verdict.Sentence);
    }

    [Theory]
    [InlineData("")]
    [InlineData("8 cores 1620 s\n8 cores 1640 s")]
    public async Task Change_ThatTakesAwayWhatTheAnswerRestsOn_LeavesNone(string timings)
    {
        await using PlanSession session = await SettledAsync();
        session.Change(session.Draft with { Phases = [], Work = "", WhatIfInput = "1.5" });
        await session.WhenSettledAsync();
        Assert.NotNull(session.WhatIf);

        session.Change(session.Draft with { TimingsText = timings });
        await session.WhenSettledAsync();

        Assert.Equal(timings.Length == 0 ? PlanQuestion.Description : PlanQuestion.SecondCoreCount, session.Reading.Question);
        Assert.True(session is { Result: null, WhatIf: null, Scaling: null, IsOld: false });

        session.Change(session.Draft with { TimingsText = s_demo.Plan.TimingsText });
        await session.WhenSettledAsync();
        Assert.Equal(AnswerStage.Done, session.Stage);
        Assert.NotNull(session.Result);
    }

    [Fact]
    public async Task Change_ManyTimesAtOnce_ShowsTheLast()
    {
        await using PlanSession session = await SettledAsync();

        for (int minute = 1; minute < 60; minute++)
            session.Change(session.Draft with { DoneBy = $"04:{minute:00}" });
        session.Change(session.Draft with { DoneBy = "06:00" });
        await session.WhenSettledAsync();

        Assert.Equal(AnswerStage.Done, session.Stage);
        Assert.Equal(7200, session.Result!.Plan.Window!.Seconds);
        Assert.Equal(session.Draft, session.Reading.Draft);
    }

    [Fact]
    public async Task Change_OfATextBeingTyped_IsReadAfterSilence()
    {
        var clock = new FakeTimeProvider();
        await using PlanSession session = await SettledAsync(clock);
        PlanResult before = session.Result!;

        session.Change(session.Draft with { TimingsText = "1 core: 100 s\n2 cores: 52 s\n" }, afterSilence: true);
        Assert.Same(before, session.Result);
        Assert.Equal(AnswerStage.Working, session.Stage);

        // The silence is a timer of the clock; it is set on the work's own thread, so the clock moves on until it has rung.
        Task settled = session.WhenSettledAsync();
        while (!settled.IsCompleted)
        {
            clock.Advance(PlanSession.Silence);
            await Task.Yield();
        }

        Assert.Equal(2, session.Result!.Plan.Timings.Length);
    }

    [Fact]
    public async Task Stop_LeavesTheLastAnswerStanding()
    {
        var clock = new FakeTimeProvider();
        await using PlanSession session = await SettledAsync(clock);
        PlanResult before = session.Result!;

        session.Change(session.Draft with { TimingsText = "1 core: 100 s\n2 cores: 52 s\n" }, afterSilence: true);
        session.Stop();
        await session.WhenSettledAsync();

        Assert.Same(before, session.Result);
        Assert.Equal(AnswerStage.Stale, session.Stage);
    }

    [Fact]
    public async Task Variants_AreAnsweredBesideTheBase()
    {
        await using PlanSession session = await SettledAsync();
        PlanResult before = session.Result!;

        session.Change(session.Draft with { Variants = [new WhatIfDraft { Name = "half the span", Span = "0.5" }, new WhatIfDraft { Name = "dear", Price = "2" }] });
        await session.WhenSettledAsync();

        Assert.Null(session.WhatIf);
        Assert.Equal(before.Verdict.Sentence, session.Result!.Verdict.Sentence);
        Assert.Equal(["half the span", "dear"], session.Variants.Select(variant => variant.Asked.Name));
        Assert.True(session.Variants[0].Result.Verdict.Choice!.StartToFinishSeconds.Median < before.Verdict.Choice!.StartToFinishSeconds.Median);
        Assert.Equal(2 * before.Verdict.Choice.CostPerRun, session.Variants[1].Result.Verdict.Choice!.CostPerRun);
    }

    [Fact]
    public async Task WhatIf_LeavesTheBaseAsItIs()
    {
        await using PlanSession session = await SettledAsync();
        string before = session.Result!.Verdict.Sentence;

        session.Change(session.Draft with { WhatIfInput = "1.15", WhatIfCores = "12" });
        await session.WhenSettledAsync();

        Assert.Equal(before, session.Result.Verdict.Sentence);
        Assert.Equal(1.15, session.WhatIf!.Plan.InputFactor);
        Assert.Equal(1.15, session.WhatIf.Forecast.WorkSeconds / session.Result.Forecast.WorkSeconds, 1e-9);
        Assert.Contains(session.Result.Forecast.Points, point => point.Cores == 12);
    }

    [Fact]
    public async Task Changed_IsRaisedForEveryAnswer()
    {
        await using PlanSession session = await SettledAsync();
        int raised = 0;
        session.Changed += () => Interlocked.Increment(ref raised);

        session.Change(session.Draft with { MissOneIn = "10" });
        await session.WhenSettledAsync();

        Assert.True(raised >= 1);
    }

    [Fact]
    public async Task Change_ThatIsFittedAnew_IsGlimpsedBeforeItIsAnswered()
    {
        await using PlanSession session = await SettledAsync();
        PlanResult before = session.Result!;
        var seen = new List<(AnswerGlimpse? Glimpse, PlanResult? Result, AnswerStage Stage)>();
        session.Glimpsed += () => seen.Add((session.Glimpse, session.Result, session.Stage));

        session.Change(session.Draft with { TimingsText = s_demo.Plan.TimingsText.Replace("58,6", "70", StringComparison.Ordinal) });
        await session.WhenSettledAsync();

        Assert.Equal([false, true], seen.Select(one => one.Glimpse!.IsWhole));
        Assert.All(seen, one => Assert.Equal((before, AnswerStage.Working), (one.Result, one.Stage)));
        Assert.Null(session.Glimpse);
        Assert.NotSame(before, session.Result);
        Assert.Same(session.Result!.Forecast, seen[1].Glimpse!.Result.Forecast);
        Assert.Equal(session.Result.Machines, seen[1].Glimpse!.Result.Machines);
        PlanResult glimpse = seen[0].Glimpse!.Result;
        ForecastPoint expected = session.Result.Forecast.Curve[^1], first = glimpse.Forecast.Curve[^1];
        Assert.Equal(expected.Cores, first.Cores);
        Assert.Equal(1, first.Seconds.Median / expected.Seconds.Median, 0.05);
        Assert.Equal(session.Result.Plan.Timings, glimpse.Plan.Timings);
        Assert.Equal(session.Result.Machines.Length, glimpse.Machines.Length);
    }

    [Theory]
    [InlineData("another window: nothing is fitted", true)]
    [InlineData("one timing less: its charts are drawn anew", true)]
    [InlineData("timings that cannot be read", false)]
    public async Task Change_OfAnotherKind_IsGlimpsedOnceItsFiguresAreWhole(string kind, bool isAnswered)
    {
        await using PlanSession session = await SettledAsync();
        var seen = new List<bool>();
        session.Glimpsed += () => seen.Add(session.Glimpse!.IsWhole);

        session.Change(kind[..3] switch
        {
            "ano" => session.Draft with { DoneBy = "06:00" },
            "one" => session.Draft with { TimingsText = "1 core: 100 s\n2 cores: 52 s\n4 cores: 30 s" },
            _ => session.Draft with { TimingsText = "no numbers at all" },
        });
        await session.WhenSettledAsync();

        Assert.Equal(isAnswered ? [true] : [], seen);
        Assert.Null(session.Glimpse);
    }

    [Fact]
    public async Task Stop_AfterAGlimpse_LeavesTheLastAnswerAndNoGlimpse()
    {
        await using PlanSession session = await SettledAsync();
        PlanResult before = session.Result!;
        session.Glimpsed += session.Stop;

        session.Change(session.Draft with { SecondThreadGain = "60 %" });
        await session.WhenSettledAsync();

        Assert.Same(before, session.Result);
        Assert.Null(session.Glimpse);
        Assert.Equal(AnswerStage.Stale, session.Stage);
    }

    private static async Task<PlanSession> SettledAsync(TimeProvider? clock = null)
    {
        var session = new PlanSession(s_demo.Plan, s_demo.Catalogue, clock ?? TimeProvider.System);
        session.Start();
        await session.WhenSettledAsync();
        return session;
    }
}
