using System.Net;
using System.Text.Json;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Plans;
using Capacityplan.Web.Tests.Serving;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Api;

/// <summary>What a request may ask besides its forecast: a shared night, past nights, what-ifs, growth, sensitivity.</summary>
public sealed class ChangeForecastTests(Site site) : IClassFixture<Site>
{
    private const string Machines =
        """
        [ { "name": "Wren-4", "hardwareThreads": 4, "physicalCores": 2, "memoryGiB": 16, "startUpSeconds": 45, "purchase": [ { "kind": "metered", "pricePerHour": 0.39, "currency": "EUR", "minimumSeconds": 60 } ] },
          { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "memoryGiB": 64, "startUpSeconds": 45, "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "minimumSeconds": 60 } ] } ]
        """;

    private const string Tiles = "cores,seconds\\n1,4000\\n2,2080\\n4,1150";

    private static readonly PlanDraft s_draft = new() { Name = "Night tiles", DoneBy = "25 min", TimingsText = Tiles.Replace("\\n", "\n", StringComparison.Ordinal), Growth = "2 %" };

    [Fact]
    public async Task Request_AndPage_GiveTheSameAnswers()
    {
        PlanDraft draft = s_draft with
        {
            PastNights = "10\n11\n12\n11\n10\n14\n10\n11\n12\n18",
            WhatIfLevers = new WhatIfDraft { Span = "0.5", Workers = "12", Window = "20 min" },
            GrowthTable = "6 1.2\n12 1.5",
            WorkGrows = WorkFormula.TimesLogarithm,
        };
        await using var session = new PlanSession(draft, TemporaryStore.Birds(), new FakeTimeProvider());
        session.Start();
        await session.WhenSettledAsync();
        await using var outlook = new OutlookSession(new FakeTimeProvider(), TimeSpan.Zero);
        outlook.Show(session.Result!, session.Scaling!);
        await outlook.WhenSettledAsync();

        JsonElement answer = await AskAsync(
            $$"""
            { "name": "Night tiles", "timingsText": "{{Tiles}}", "window": { "seconds": 1500 }, "pastNights": { "sizes": [ 10, 11, 12, 11, 10, 14, 10, 11, 12, 18 ] } }
            """,
            """
            , "whatIf": [ { "name": "half the span", "span": 0.5, "coresAtMost": 12, "windowSeconds": 1200 }, {} ], "sensitivity": true,
              "growth": { "perMonth": 0.02, "table": [ { "month": 6, "input": 1.2 }, { "month": 12, "input": 1.5 } ], "formula": "nLogN" }
            """);

        Assert.Equal(session.Result!.Verdict.Sentence, Sentence(answer));
        JsonElement[] whatIfs = [.. answer.GetProperty("whatIf").EnumerateArray()];
        Assert.Equal("half the span", whatIfs[0].GetProperty("name").GetString());
        Assert.Equal(session.WhatIf!.Verdict.Sentence, Sentence(whatIfs[0]));
        Assert.Equal(session.WhatIf.Verdict.Choice!.ChanceInWindow!.Value, whatIfs[0].GetProperty("choice").GetProperty("chanceInWindow").GetDouble(), 1e-12);
        // A what-if without a lever is the base.
        Assert.Equal(Sentence(answer), Sentence(whatIfs[1]));

        JsonElement growth = answer.GetProperty("growth");
        Assert.Equal(
            outlook.Growth!.Path.Select(stretch => (stretch.Outcome?.Machine.Name, stretch.Months)),
            growth.GetProperty("path").EnumerateArray().Select(stretch => (stretch.GetProperty("machine").GetString(), stretch.GetProperty("months").GetInt32())));
        Assert.Equal((double)outlook.Growth.Total, growth.GetProperty("totalCost").GetDouble(), 1e-5);
        Assert.Equal(
            outlook.Growth.Lanes.Select(lane => (lane.Outcome.Machine.Name, lane.MissedFrom, lane.Early, lane.Late)),
            growth.GetProperty("machines").EnumerateArray().Select(lane => (lane.GetProperty("machine").GetString()!, Month(lane, "missedFromMonth"), Month(lane, "earlyMonth"), Month(lane, "lateMonth"))));

        Assert.Equal(
            outlook.Sensitivity!.Inputs.Select(effect => Math.Round(effect.TotalEffect, 9)),
            answer.GetProperty("sensitivity").GetProperty("inputs").EnumerateArray().Select(effect => Math.Round(effect.GetProperty("totalEffect").GetDouble(), 9)));
    }

    [Fact]
    public async Task Night_IsLaidOutOnTheMachineForAllOfIt()
    {
        JsonElement answer = await AskAsync($$"""
            { "name": "Night tiles", "timingsText": "{{Tiles}}", "window": { "seconds": 3600 },
              "night": { "after": [ "tide tables" ], "mayShareCores": true, "jobs": [
                { "name": "Tide tables", "job": { "timingsText": "cores,seconds\n1,1000\n4,300", "window": { "seconds": 5 } } },
                { "name": "Harbour lights", "after": [ "Night tiles" ], "job": { "workAndSpan": { "workSeconds": 800, "spanSeconds": 20, "tasks": 400 } } } ] } }
            """);

        Assert.Contains("all 3 jobs", Sentence(answer), StringComparison.Ordinal);
        JsonElement[] night = [.. answer.GetProperty("night").EnumerateArray()];
        Assert.Equal(["Night tiles", "Tide tables", "Harbour lights"], night.Select(run => run.GetProperty("job").GetString()));
        double Of(int job, string field) => night[job].GetProperty(field).GetDouble();
        Assert.Equal(45, Of(1, "startSeconds"), 1e-9);
        Assert.Equal(Of(1, "endSeconds"), Of(0, "startSeconds"), 1e-9);
        Assert.Equal(Of(0, "endSeconds"), Of(2, "startSeconds"), 1e-9);
        Assert.InRange(Of(2, "workSeconds"), 780, 820);
        // How the job scales is told of the request's own alone.
        Assert.InRange(answer.GetProperty("forecast").GetProperty("workSeconds").GetDouble(), 3_800, 4_200);
        Assert.Contains(answer.GetProperty("problems").EnumerateArray(), problem => problem.GetProperty("path").GetString() == "job.night.jobs[0].job.window");
    }

    [Theory]
    [InlineData("""{ "jobs": [ { "name": "Tides", "after": [ "Lights" ], "job": JOB } ] }""", "job.night.jobs[0].after[0]", "No job of the night has this name.")]
    [InlineData("""{ "jobs": [ { "name": "Tides", "after": [ "tides" ], "job": JOB } ] }""", "job.night.jobs[0].after[0]", "A job cannot start after itself.")]
    [InlineData("""{ "after": [ "Tides" ], "jobs": [ { "name": "Tides", "after": [ "own" ], "job": JOB } ] }""", "job.night.jobs[0].after", "These jobs wait for each other: own, Tides. Leave one of the names out.")]
    [InlineData("""{ "jobs": [ { "name": "OWN", "job": JOB } ] }""", "job.night.jobs[0].name", "Another job of the night has this name already, the request's own among them; give each its own.")]
    [InlineData("""{ "jobs": [ { "name": "Tides", "job": {} } ] }""", "job.night.jobs[0].job", "Nothing describes the job: give timings, timingsText, workAndSpan, structure or graph.")]
    [InlineData("""{ "jobs": [ { "name": "Tides", "job": { "timingsText": "cores,seconds\n2,9" } } ] }""", "job.night.jobs[0].job", "It is known on one core count only, which is a point, not a curve. Add a run on a second one, or describe it otherwise.")]
    [InlineData("""{ "jobs": [ { "name": "Tides", "job": { "timingsText": "nothing" } } ] }""", "job.night.jobs[0].job.timingsText", "No line has both a core count and a time. Write lines such as 8 cores: 12.4 s.")]
    [InlineData("""{ "jobs": [] }""", "job.night.jobs", "It holds 0 items; 1 is the least.")]
    [InlineData("""{ "mayShareCores": "yes", "jobs": [ { "name": "Tides", "job": JOB } ] }""", "job.night.mayShareCores", "It is the text \"yes\"; it has to be true or false.")]
    public async Task Night_ThatCannotBe_IsRefusedAtItsPlace(string night, string path, string message)
    {
        string job = night.Replace("JOB", """{ "timingsText": "cores,seconds\n1,9\n2,5" }""", StringComparison.Ordinal);
        await AssertRefusedAsync($$"""{ "timingsText": "{{Tiles}}", "night": {{job}} }""", "", path, message);
    }

    [Theory]
    [InlineData(""", "growth": { "table": [ { "month": 6, "input": 1.2 }, { "month": 6, "input": 1.5 } ] }""", "growth.table[1].month", "It is 6, not after month 6; the months have to ascend.")]
    [InlineData(""", "growth": { "formula": "n!" }""", "growth.formula", "It is \"n!\"; it has to be n, nLogN or nSquared.")]
    [InlineData(""", "whatIf": [ {}, { "work": 0 } ]""", "whatIf[1].work", "It is 0; it has to be from 0.001 to 1,000.")]
    public async Task Change_ThatCannotBe_IsRefusedAtItsPlace(string asked, string path, string message) =>
        await AssertRefusedAsync($$"""{ "timingsText": "{{Tiles}}" }""", asked, path, message);

    [Theory]
    [InlineData("""{ "sizes": [ 1, 2 ], "runSeconds": [ 1 ] }""", "It holds sizes and run times. Give one of them: how nights differ is read from it.")]
    [InlineData("{}", "It holds no night. Give sizes or runSeconds, a number for each night.")]
    public async Task PastNights_ThatCannotBe_AreRefused(string past, string message) =>
        await AssertRefusedAsync($$"""{ "timingsText": "{{Tiles}}", "pastNights": {{past}} }""", "", "job.pastNights", message);

    [Fact]
    public async Task What_NeedsAForecast_IsLeftOutWithOneCoreCount()
    {
        JsonElement answer = await AskAsync("""{ "timingsText": "cores,seconds\n4,900" }""", """, "whatIf": [ {} ], "growth": {}, "sensitivity": true""");

        string?[] paths = [.. answer.GetProperty("problems").EnumerateArray().Select(problem => problem.GetProperty("path").GetString())];
        Assert.Subset(paths.ToHashSet(), new HashSet<string?> { "whatIf", "growth", "sensitivity" });
        Assert.False(answer.TryGetProperty("whatIf", out _));
    }

    [Fact]
    public async Task Growth_PastAllMeasure_IsAnswered()
    {
        JsonElement answer = await AskAsync(
            $$"""{ "timingsText": "{{Tiles}}", "window": { "seconds": 1500 } }""", """, "growth": { "perMonth": 10, "formula": "nSquared" }, "sensitivity": true""");

        Assert.InRange(answer.GetProperty("growth").GetProperty("monthsWithout").GetInt32(), 34, 36);
        Assert.True(answer.GetProperty("sensitivity").GetProperty("baseCost").GetDouble() > 0);
    }

    private async Task<JsonElement> AskAsync(string job, string asked = "")
    {
        using HttpClient client = site.CreateClient();
        return await client.ForecastAsync($$"""{ "job": {{job}}, "machines": {{Machines}}{{asked}} }""");
    }

    private async Task AssertRefusedAsync(string job, string asked, string path, string message)
    {
        using HttpClient client = site.CreateClient();
        Refusal[] refusals = await client.RefusedAsync(HttpStatusCode.UnprocessableEntity, $$"""{ "job": {{job}}, "machines": {{Machines}}{{asked}} }""");
        Assert.Contains(refusals, refusal => refusal.Path == path && refusal.Message == message);
    }

    private static string Sentence(JsonElement answer) => answer.GetProperty("verdict").GetProperty("sentence").GetString()!;

    private static int? Month(JsonElement lane, string field) => lane.GetProperty(field) is { ValueKind: JsonValueKind.Number } month ? month.GetInt32() : null;
}
