using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>The same calculation for scripts, over HTTP.</summary>
public sealed class ForecastApiTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Forecast_OfTheDemo_SaysWhatThePageSays()
    {
        Plan plan = DemoJob.Reading(DemoJob.Draft).Plan!;
        PlanSheet sheet = await OpenDemoAsync();
        string onThePage = await sheet.Sentence.Locator(".full").TextContentAsync() ?? "";
        var request = new
        {
            job = new
            {
                timingsText = DemoJob.Draft.TimingsText,
                workAndSpan = new { workSeconds = plan.WorkAndSpan!.WorkSeconds, spanSeconds = plan.WorkAndSpan.SpanSeconds, tasks = plan.WorkAndSpan.Tasks },
                structure = new { phases = plan.Structure!.Phases.Select(Written) },
                measuredOn = new { hardwareThreads = 8, physicalCores = 8, relativeCoreSpeed = 1.0 },
                secondThreadGain = plan.SecondThreadGain,
                window = new { seconds = plan.Window!.Seconds, targetChance = plan.Window.TargetChance },
                nights = new { heavyShare = plan.Nights.HeavyShare, heavyFactor = plan.Nights.HeavyFactor },
                growthPerMonth = plan.GrowthPerMonth,
                runsPerMonth = plan.RunsPerMonth,
                memoryGiB = plan.MemoryGiB,
            },
        };
        using var client = new HttpClient { BaseAddress = Address };

        using HttpResponseMessage response = await client.PostAsJsonAsync("api/v1/forecasts", request, Cancellation);

        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        JsonElement answer = await response.Content.ReadFromJsonAsync<JsonElement>(Cancellation);
        JsonElement verdict = answer.GetProperty("verdict");
        Assert.Equal("Heron-16", verdict.GetProperty("machine").GetString());
        Assert.Equal(onThePage, verdict.GetProperty("sentence").GetString());
        Assert.Equal(plan.Timings.Length, answer.GetProperty("understood").GetProperty("timings").GetArrayLength());
    }

    [Theory]
    [InlineData("""{"job": {"timings": [""", HttpStatusCode.BadRequest)]
    [InlineData("""{"job": {"timings": [{"cores": 0, "seconds": 12}]}}""", HttpStatusCode.UnprocessableEntity)]
    public async Task Forecast_OfNonsense_PointsAtItWithoutAStackTrace(string body, HttpStatusCode expected)
    {
        using var client = new HttpClient { BaseAddress = Address };
        using var content = new StringContent(body, System.Text.Encoding.UTF8, "application/json");

        using HttpResponseMessage response = await client.PostAsync(new Uri("api/v1/forecasts", UriKind.Relative), content, Cancellation);

        string text = await response.Content.ReadAsStringAsync(Cancellation);
        Assert.Equal(expected, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        using JsonDocument problem = JsonDocument.Parse(text);
        Assert.NotEqual(0, problem.RootElement.GetProperty("errors").GetArrayLength());
        Assert.DoesNotContain("   at ", text, StringComparison.Ordinal);
        Assert.DoesNotContain("Exception", text, StringComparison.Ordinal);
    }

    /// <summary>A phase of the demo as the API takes it.</summary>
    private static object Written(Phase phase) => phase switch
    {
        SerialPhase serial => new { name = serial.Name, kind = "serial", seconds = serial.Seconds },
        ParallelPhase parallel => new
        {
            name = parallel.Name,
            kind = "parallel",
            units = parallel.Units,
            grain = parallel.Grain,
            unitSeconds = Written(parallel.UnitSizes),
            forkSeconds = parallel.Costs.ForkSeconds,
            joinSeconds = parallel.Costs.JoinSeconds,
            combineSecondsPerUnit = parallel.Costs.CombineSecondsPerUnit,
            stealAttemptSeconds = parallel.Costs.StealAttemptSeconds,
            stealSeconds = parallel.Costs.StealSeconds,
        },
        _ => throw new InvalidOperationException($"No way to write {phase}."),
    };

    private static object Written(TaskSizes sizes) => sizes switch
    {
        BoundedParetoSizes pareto => new { distribution = "boundedPareto", alpha = pareto.Alpha, min = pareto.Min, max = pareto.Max },
        GammaSizes gamma => new { distribution = "gamma", shape = gamma.Shape, scale = gamma.Scale },
        _ => throw new InvalidOperationException($"No way to write {sizes}."),
    };
}
