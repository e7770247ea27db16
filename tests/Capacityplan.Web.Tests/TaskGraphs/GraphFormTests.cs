using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Components.TaskGraphs;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components.Forms;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.TaskGraphs;

public sealed class GraphFormTests : PageTest
{
    private const string Diamond = "id,seconds,parents\na,60,\nb,300,a\nc,120,a\nd,120,b;c\n";

    private readonly SimulationTurns _turns = new();
    private PlanSession _session = default!;
    private GraphSession _graphs = default!;

    [Fact]
    public async Task File_Chosen_DescribesTheJobAndIsThereAgainAfterwards()
    {
        IRenderedComponent<GraphForm> form = await OpenAsync(new PlanDraft());
        Assert.Contains("Task graph, where known", form.Markup, StringComparison.Ordinal);

        await ChooseAsync(form, Diamond, "night.csv");

        Assert.Equal("night.csv", _session.Draft.GraphFileName);
        Assert.Equal(480, _session.Result!.Plan.Graph!.Graph.SpanSeconds);
        Assert.Contains("Task graph: 4 tasks", form.Markup, StringComparison.Ordinal);

        // The page opened anew, with nothing but the draft.
        IRenderedComponent<GraphForm> later = await OpenAsync(_session.Draft);
        Assert.Contains("Task graph: 4 tasks", later.Markup, StringComparison.Ordinal);
        Assert.Equal(600, _session.Result!.Plan.Graph!.Graph.WorkSeconds);
    }

    [Fact]
    public async Task File_WithAnErrorInIt_KeepsTheOneBefore()
    {
        IRenderedComponent<GraphForm> form = await OpenAsync(new PlanDraft());
        await ChooseAsync(form, Diamond, "night.csv");
        PlanDraft before = _session.Draft;

        await ChooseAsync(form, "id,seconds,parents\na,60,b\nb,30,a\n", "circle.csv");

        Assert.Equal(before, _session.Draft);
        Assert.Equal(AnswerStage.Done, _session.Stage);
        string[] alerts = [.. form.FindAll("[role=alert]").Select(Words)];
        Assert.StartsWith("circle.csv: Line 2, column 1: Tasks wait for each other in a circle", alerts[0], StringComparison.Ordinal);
        Assert.Equal("Nothing was changed; the task graph from before stands.", alerts[^1]);
    }

    [Fact]
    public async Task File_TakenOut_CanBePutBack()
    {
        IRenderedComponent<GraphForm> form = await OpenAsync(new PlanDraft());
        await ChooseAsync(form, Diamond, "night.csv");
        PlanDraft before = _session.Draft;

        Button(form, "Take the task graph out").Click();
        Assert.Equal("", _session.Draft.GraphFile);
        Button(form, "Put it back").Click();
        await SettleAsync(form);

        Assert.Equal(before, _session.Draft);
        Assert.Equal(480, _session.Reading.Plan!.Graph!.Graph.SpanSeconds);
    }

    [Fact]
    public async Task Paste_IsReadAsItIsTypedAndItsErrorsAreShown()
    {
        IRenderedComponent<GraphForm> form = await OpenAsync(new PlanDraft());

        Button(form, "paste a small one").Click();
        form.Find("textarea").Input(Diamond);
        await SettleAsync(form);
        Assert.Equal(480, _session.Result!.Plan.Graph!.Graph.SpanSeconds);

        form.Find("textarea").Input(Diamond + "e,ten,d\n");
        await SettleAsync(form);

        Assert.Equal(AnswerStage.Stale, _session.Stage);
        Assert.Equal(480, _session.Result!.Plan.Graph!.Graph.SpanSeconds);
        Assert.StartsWith("Line 6, column 3: “ten” is not a duration", Words(form.Find("p.small.bad")), StringComparison.Ordinal);
        Assert.Equal(Diamond + "e,ten,d\n", _session.Draft.GraphText);
    }

    [Fact]
    public async Task Draft_WhoseFileIsGone_SaysSo()
    {
        IRenderedComponent<GraphForm> form = await OpenAsync(new PlanDraft { GraphFile = "none", GraphFileName = "night.csv" });

        Assert.Contains(form.FindAll("[role=alert]").Select(Words), words => words.StartsWith("The file night.csv is not kept here any more.", StringComparison.Ordinal));
        Assert.Equal(PlanQuestion.Correction, _session.Reading.Question);
    }

    [Fact]
    public async Task Graph_Studied_ShowsProfilePathSchedulesAndOneOfThem()
    {
        await OpenAsync(new PlanDraft { GraphText = Diamond, GraphCores = "2" });
        IRenderedComponent<GraphSection> section = Render<GraphSection>(parameters => parameters.AddCascadingValue(_session).AddCascadingValue(_graphs));

        await section.WaitForStateAsync(() => _graphs.Stage == SimulationStage.Done, TimeSpan.FromSeconds(20));
        section.Render();

        string[] titles = [.. section.FindAll("h3").Select(Words)];
        Assert.Contains(titles, title => title.StartsWith("Up to 2 tasks run at once, but for 75\u00A0% of the time fewer than ", StringComparison.Ordinal));
        Assert.Contains("The critical path has 3 tasks; b takes 63\u00A0% of it", titles);
        Assert.Contains("Every schedule found is proved optimal", titles);
        Assert.Contains("On 2 cores the tasks take 8.0\u00A0min, the cores busy for 63\u00A0% of it", titles);
        Assert.Contains(
            section.FindAll("p.said").Select(Words),
            words => words == "Shorten b by 10 % and the job gains 30\u00A0s with unlimited cores, and 30\u00A0s on 2 cores.");
    }

    protected override async ValueTask DisposeAsyncCore()
    {
        if (_graphs is not null)
            await _graphs.DisposeAsync();
        if (_session is not null)
            await _session.DisposeAsync();
        _turns.Dispose();
        await base.DisposeAsyncCore();
    }

    private async Task<IRenderedComponent<GraphForm>> OpenAsync(PlanDraft draft)
    {
        if (!Services.Any(service => service.ServiceType == typeof(ThemeState)))
            Services.AddScoped<ThemeState>();
        _session = new PlanSession(draft, new Catalogue { Name = "none", Machines = [] }, Store.Clock);
        _graphs = new GraphSession(Store.Files, _turns, Store.Clock);
        _graphs.Read += _session.TakeGraph;
        _graphs.Refined += _session.TakeSimulated;
        _session.Changed += () =>
        {
            if (_session is { Stage: AnswerStage.Done, Reading: { Plan: { } plan } reading })
                _graphs.Show(plan.Graph, GraphCores.Of(reading, _session.Result));
        };
        _session.Start();
        _graphs.Open(draft);
        IRenderedComponent<GraphForm> form = Render<GraphForm>(parameters => parameters.AddCascadingValue(_session).AddCascadingValue(_graphs));
        await SettleAsync(form);
        return form;
    }

    private async Task ChooseAsync(IRenderedComponent<GraphForm> form, string text, string name)
    {
        form.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText(text, name));
        await form.WaitForStateAsync(() => !form.Markup.Contains($"Reading {name}", StringComparison.Ordinal), TimeSpan.FromSeconds(20));
        await SettleAsync(form);
    }

    private async Task SettleAsync(IRenderedComponent<GraphForm> form)
    {
        for (int round = 0; round < 3; round++)
        {
            Task settled = Task.WhenAll(_graphs.WhenSettledAsync(), _session.WhenSettledAsync());
            while (!settled.IsCompleted)
            {
                Store.Clock.Advance(PlanSession.Silence);
                await Task.Yield();
            }

            await settled;
        }

        form.Render();
    }

    private static IElement Button(IRenderedComponent<GraphForm> form, string words) => form.FindAll("button").Single(button => button.TextContent.Trim() == words);

    private static string Words(IElement element) =>
        string.Join(' ', element.TextContent.Split((char[])[' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries));
}
