using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Charts;
using Capacityplan.Web.Components.Night;
using Capacityplan.Web.Plans;
using Capacityplan.Web.Tests.Charts;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Tests.SharedNights;

public sealed class NightFormTests : BunitContext, IAsyncLifetime
{
    private static readonly PlanDraft s_tiles = new() { Name = "Night tiles", DoneBy = "60 min", TimingsText = "cores,seconds\n1,4000\n4,1200\n" };

    private TemporaryStore _store = default!;

    public async ValueTask InitializeAsync() => _store = await TemporaryStore.OpenAsync();

    [Fact]
    public async Task Night_IsPutTogetherOrderedAndTakenApart()
    {
        StoredPlan own = await _store.Plans.CreateAsync(s_tiles), lights = await LightsAsync();
        await using PlanSession session = Session(own.Draft!);
        await using NightSession night = Night(session, own.Id);
        IRenderedComponent<IComponent> form = Show(session, night);
        night.List();
        await SettleAsync(session, night, form);

        form.Find("[aria-label='Add a job to the night']").Change(lights.Id.ToString());
        await SettleAsync(session, night, form);

        Assert.Contains("both jobs", session.Result!.Verdict.Sentence, StringComparison.Ordinal);
        Assert.Equal("Harbour lights", form.Find(".nightjobs a").TextContent);
        Assert.Equal($"plans/{lights.Id}", form.Find(".nightjobs a").GetAttribute("href"));
        form.Find("[aria-label='Harbour lights starts after'] input").Change(true);
        await SettleAsync(session, night, form);
        NightSchedule schedule = session.Result!.NightOnChoice!;
        Assert.Equal(schedule.Runs[0].EndSeconds, schedule.Runs[1].StartSeconds);

        // One that waits for the other both ways is pointed at; the last answer stands.
        form.Find("[aria-label='Night tiles starts after'] input").Change(true);
        await SettleAsync(session, night, form);
        Assert.Contains("wait for each other", form.Find(".nightjobs [role=alert]").TextContent, StringComparison.Ordinal);
        Assert.Same(schedule, session.Result!.NightOnChoice);

        form.Find("[aria-label='Take Harbour lights out of the night']").Click();
        await SettleAsync(session, night, form);
        Assert.Null(session.Result!.NightOnChoice);
        Assert.Equal("", session.Draft.NightAfter);
        Button(form, "Put it back").Click();
        Assert.Equal(lights.Id.ToString(), Assert.Single(session.Draft.NightJobs).Plan);
    }

    [Fact]
    public async Task Plan_SavedElsewhere_IsFollowed_AndSaidToBeGoneOnceDeleted()
    {
        StoredPlan lights = await LightsAsync();
        StoredPlan own = await _store.Plans.CreateAsync(s_tiles with { NightJobs = [new NightJobDraft { Plan = lights.Id.ToString(), Name = "Harbour lights" }] });
        await using PlanSession session = Session(own.Draft!);
        await using NightSession night = Night(session, own.Id);
        IRenderedComponent<IComponent> form = Show(session, night);
        night.Open(own.Draft!);
        await SettleAsync(session, night, form);
        double before = session.Result!.Forecast.WorkSeconds;

        await _store.Plans.SaveAsync(lights.Id, lights.Draft! with { Name = "Harbour lamps", TimingsText = "cores,seconds\n1,9000\n4,2500\n" }, lights.Version, null);
        await SettleAsync(session, night, form);
        Assert.InRange(session.Result!.Forecast.WorkSeconds - before, 6_000, 8_000);
        Assert.Equal("Harbour lamps", form.Find(".nightjobs a").TextContent);

        await _store.Plans.DeleteAsync(lights.Id);
        await SettleAsync(session, night, form);
        Assert.Contains("is deleted. Put it back", form.Find(".nightjobs [role=alert]").TextContent, StringComparison.Ordinal);
        Assert.Equal(AnswerStage.Stale, session.Stage);

        await _store.Plans.RestoreAsync(lights.Id);
        await SettleAsync(session, night, form);
        Assert.Equal(AnswerStage.Done, session.Stage);
        Assert.Empty(form.FindAll(".nightjobs [role=alert]"));
    }

    [Fact]
    public async Task Timeline_ShowsEachJobInsideTheWindow()
    {
        StoredPlan lights = await LightsAsync();
        StoredPlan own = await _store.Plans.CreateAsync(s_tiles with { NightJobs = [new NightJobDraft { Plan = lights.Id.ToString(), After = "own" }] });
        await using PlanSession session = Session(own.Draft!);
        await using NightSession night = Night(session, own.Id);
        night.Open(own.Draft!);
        await SettleAsync(session, night, null);

        ChartModel chart = NightChart.Build(session.Result!)!;

        ChartSoundness.AssertSound(chart);
        Assert.Equal(2, chart.Stretches.Count);
        Assert.Equal(45, chart.Stretches[0].From);
        Assert.Equal(chart.Stretches[0].To, chart.Stretches[1].From, 1e-6);
        Assert.Equal(["Night tiles", "Harbour lights"], chart.Table.Rows.Select(row => row.Cells[0]));
        Assert.Equal("Night tiles", chart.Table.Rows[1].Cells[1]);
        Assert.StartsWith($"On {session.Result!.Verdict.Choice!.Machine.Name} the two jobs of the night take ", chart.Title, StringComparison.Ordinal);
        Assert.Null(NightChart.Build(session.Result!.OfJob));
    }

    protected override async ValueTask DisposeAsyncCore()
    {
        await base.DisposeAsyncCore();
        await _store.DisposeAsync();
    }

    private Task<StoredPlan> LightsAsync() =>
        _store.Plans.CreateAsync(new PlanDraft { Name = "Harbour lights", Owner = "Tidemark", TimingsText = "cores,seconds\n1,2000\n4,600\n" });

    private PlanSession Session(PlanDraft draft)
    {
        var session = new PlanSession(draft, TemporaryStore.Birds(), _store.Clock);
        session.Start();
        return session;
    }

    private NightSession Night(PlanSession session, Guid own)
    {
        var night = new NightSession(_store.Plans, _store.Files, own);
        night.Read += session.TakeNight;
        session.Typed += night.Open;
        return night;
    }

    /// <summary>Waits for the plans to be looked up, and for the answer that follows.</summary>
    private static async Task SettleAsync(PlanSession session, NightSession night, IRenderedComponent<IComponent>? shown)
    {
        await night.WhenSettledAsync();
        await session.WhenSettledAsync();
        // Nothing but the session has changed, which no parameter shows.
        shown?.FindComponent<NightForm>().Render();
    }

    private static IElement Button(IRenderedComponent<IComponent> shown, string words) =>
        shown.FindAll("button").Single(button => button.TextContent.Trim() == words);

    private IRenderedComponent<IComponent> Show(PlanSession session, NightSession night) => Render(builder =>
    {
        builder.OpenComponent<CascadingValue<PlanSession>>(0);
        builder.AddComponentParameter(1, "Value", session);
        builder.AddComponentParameter(2, "ChildContent", (RenderFragment)(inner =>
        {
            inner.OpenComponent<CascadingValue<NightSession>>(0);
            inner.AddComponentParameter(1, "Value", night);
            inner.AddComponentParameter(2, "ChildContent", (RenderFragment)(innermost =>
            {
                innermost.OpenComponent<NightForm>(0);
                innermost.CloseComponent();
            }));
            inner.CloseComponent();
        }));
        builder.CloseComponent();
    });
}
