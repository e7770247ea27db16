using System.Net;
using System.Text.Json;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

public sealed class GraphForecastTests(Site site) : IClassFixture<Site>, IDisposable
{
    private readonly HttpClient _client = site.CreateClient();

    public void Dispose() => _client.Dispose();

    [Fact]
    public async Task Graph_Alone_IsForecastAndPriced()
    {
        JsonElement answer = await _client.ForecastAsync(await BodyAsync(""));

        JsonElement forecast = answer.GetProperty("forecast");
        // Work and span of the trace, from our own study of it.
        Assert.Equal(1028.704, forecast.GetProperty("workSeconds").GetDouble(), 10.0);
        Assert.Equal(307.36, forecast.GetProperty("spanSeconds").GetDouble(), 3.0);
        Assert.Equal("task graph, simulated", forecast.GetProperty("models")[0].GetProperty("name").GetString());
        Assert.Equal("Heron-16", answer.GetProperty("verdict").GetProperty("machine").GetString());
        foreach (JsonElement point in forecast.GetProperty("points").EnumerateArray())
        {
            double median = point.GetProperty("seconds").GetProperty("median").GetDouble();
            Assert.InRange(median, 0.95 * point.GetProperty("floorSeconds").GetDouble(), 1.05 * point.GetProperty("greedyCeilingSeconds").GetDouble());
        }

        Assert.Equal(answer.GetRawText(), (await _client.ForecastAsync(await BodyAsync(""))).GetRawText());
    }

    [Fact]
    public async Task Graph_WithTimings_IsCalibrated()
    {
        JsonElement answer = await _client.ForecastAsync(await BodyAsync("""
            , "timings": [ { "cores": 1, "seconds": 2100 }, { "cores": 2, "seconds": 1210 }, { "cores": 4, "seconds": 790 } ]
            """));

        Assert.Equal(2, answer.GetProperty("forecast").GetProperty("calibration").GetProperty("workFactor").GetProperty("median").GetDouble(), 0.2);
        Assert.Contains(
            answer.GetProperty("problems").EnumerateArray(),
            problem => problem.GetProperty("path").GetString() == "job.graph" && problem.GetProperty("message").GetString()!.StartsWith("Timings and tasks agree", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Graph_OfAnotherFormThanItSays_IsReadWithAWarning()
    {
        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "graph": { "format": "json", "text": "id,seconds,parents\na,10,\nb,20,a\n" } }, "machines": [] }""");

        Assert.Equal(30, answer.GetProperty("forecast").GetProperty("spanSeconds").GetDouble(), 0.5);
        Assert.Contains(answer.GetProperty("problems").EnumerateArray(), problem => problem.GetProperty("path").GetString() == "job.graph.format");
    }

    [Fact]
    public async Task Graph_WithAnErrorInIt_IsRefusedWithTheLine()
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, """{ "job": { "graph": { "text": "id,seconds,parents\na,10,b\nb,20,a\n" } }, "machines": [] }"""));

        Assert.Equal(("job.graph.text", 2), (error.Path, error.Line));
    }

    private static async Task<string> BodyAsync(string more)
    {
        string path = Path.Combine(AppContext.BaseDirectory, "reference", "workflows", "helloworld-forkjoin-10-chameleon.json");
        string text = JsonSerializer.Serialize(await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken));
        return $$"""
            { "job": { "graph": { "format": "json", "text": {{text}} }, "window": { "seconds": 3600 } {{more}} },
              "cores": [ 1, 2, 4, 16 ], "machines": [ {{ForecastCalls.OneMachine}} ] }
            """;
    }
}
