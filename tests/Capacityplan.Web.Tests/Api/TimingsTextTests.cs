using System.Net;
using System.Text.Json;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

public sealed class TimingsTextTests(Site site) : IClassFixture<Site>, IDisposable
{
    private readonly HttpClient _client = site.CreateClient();

    public void Dispose() => _client.Dispose();

    [Fact]
    public async Task Text_IsUnderstoodInItsOrderRepeatsIncluded()
    {
        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "timingsText": "cores,seconds\n4,231.5\n1,812\n4,231.5\n" }, "machines": [] }""");

        Assert.Equal([(4, 231.5), (1, 812), (4, 231.5)], Understood(answer));
    }

    [Fact]
    public async Task Text_BesideTimings_ComesAfterThem()
    {
        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "timings": [ { "cores": 8, "seconds": 150 } ], "timingsText": "1 core: 812 s\n4 cores: 231.5 s" }, "machines": [] }""");

        Assert.Equal([(8, 150), (1, 812), (4, 231.5)], Understood(answer));
    }

    [Fact]
    public async Task Text_GivesTheSameForecastAsTheSameTimings()
    {
        JsonElement text = await _client.ForecastAsync("""{ "job": { "timingsText": "cores;seconds\n1;812\n4;231,5\n8;150" }, "machines": [] }""");
        JsonElement rows = await _client.ForecastAsync(
            """{ "job": { "timings": [ { "cores": 1, "seconds": 812 }, { "cores": 4, "seconds": 231.5 }, { "cores": 8, "seconds": 150 } ] }, "machines": [] }""");

        Assert.Equal(rows.GetProperty("forecast").GetRawText(), text.GetProperty("forecast").GetRawText());
    }

    [Fact]
    public async Task Line_ThatIsNotUnderstood_IsPointedAt()
    {
        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "timingsText": "cores,seconds\n1,812\n4,231.5\n8,-5" }, "machines": [] }""");

        JsonElement problem = answer.GetProperty("problems").EnumerateArray().Single(problem => problem.GetProperty("line").ValueKind == JsonValueKind.Number);
        Assert.Equal("job.timingsText", problem.GetProperty("path").GetString());
        Assert.Equal("warning", problem.GetProperty("severity").GetString());
        Assert.Equal((4, 3), (problem.GetProperty("line").GetInt32(), problem.GetProperty("column").GetInt32()));
    }

    [Fact]
    public async Task Speedups_NeedTheTimeOfARun()
    {
        Refusal[] errors = await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, """{ "job": { "timingsText": "cores speedup\n1 1\n2 1.9\n4 3.5" }, "machines": [] }""");

        Refusal error = Assert.Single(errors);
        Assert.Equal("job.baseSeconds", error.Path);
        Assert.Contains("Add the time of the run on its smallest core count", error.Message, StringComparison.Ordinal);

        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "timingsText": "cores speedup\n1 1\n2 1.9\n4 3.5", "baseSeconds": 190 }, "machines": [] }""");
        (int Cores, double Seconds)[] understood = Understood(answer);
        Assert.Equal([1, 2, 4], understood.Select(timing => timing.Cores));
        Assert.Equal(190, understood[0].Seconds, 1e-9);
        Assert.Equal(100, understood[1].Seconds, 1e-9);
        Assert.DoesNotContain(answer.GetProperty("problems").EnumerateArray(), problem => problem.GetProperty("line").ValueKind == JsonValueKind.Number);
    }

    [Fact]
    public async Task BaseSeconds_OfATextWithTimes_IsNotUsed()
    {
        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "timingsText": "cores,seconds\n1,812\n4,231.5", "baseSeconds": 190 }, "machines": [] }""");

        Assert.Equal([(1, 812), (4, 231.5)], Understood(answer));
        Assert.Contains(answer.GetProperty("problems").EnumerateArray(), problem => problem.GetProperty("path").GetString() == "job.baseSeconds");
    }

    [Fact]
    public async Task Bounds_NameTheLinesLeftOutToo()
    {
        // Without its second row the text is one timing: the row is what has to be put right.
        JsonElement answer = await _client.ForecastAsync("""{ "job": { "timingsText": "cores,seconds\n1,812\n4,-5" }, "machines": [] }""");

        JsonElement[] problems = [.. answer.GetProperty("problems").EnumerateArray().Where(problem => problem.GetProperty("path").GetString() == "job.timingsText")];
        Assert.Equal((3, 3), (problems[0].GetProperty("line").GetInt32(), problems[0].GetProperty("column").GetInt32()));
        Assert.StartsWith("One timing is a point, not a curve", problems[1].GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("hello world")]
    [InlineData("x = y")]
    public async Task Text_WithoutTimings_IsRefused(string text)
    {
        Refusal[] errors = await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timingsText": "{{text}}" }, "machines": [] }""");

        Assert.Equal("job.timingsText", errors[0].Path);
    }

    [Fact]
    public async Task Time_BeyondTheLimits_IsPointedAt()
    {
        JsonElement answer = await _client.ForecastAsync("""{ "job": { "timingsText": "cores,seconds\n1,812\n4,20000000000" }, "machines": [] }""");

        Assert.Contains(answer.GetProperty("problems").EnumerateArray(), problem => problem.GetProperty("line").ValueKind == JsonValueKind.Number
            && (problem.GetProperty("path").GetString(), problem.GetProperty("line").GetInt32(), problem.GetProperty("column").GetInt32()) == ("job.timingsText", 3, 3));
    }

    [Fact]
    public async Task Timings_OfArrayAndText_AreCountedTogether()
    {
        string rows = string.Join(",", Enumerable.Range(0, 100_000).Select(index => $$"""{"cores":{{1 + index % 4}},"seconds":9}"""));

        Refusal[] errors = await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": [{{rows}}], "timingsText": "cores,seconds\n1,9" }, "machines": [] }""");

        Assert.Contains(errors, error => error.Message.StartsWith("There are 100,001 timings; 100,000 are the most", StringComparison.Ordinal));
    }

    private static (int Cores, double Seconds)[] Understood(JsonElement answer) =>
    [
        .. answer.GetProperty("understood").GetProperty("timings").EnumerateArray()
            .Select(timing => (timing.GetProperty("cores").GetInt32(), timing.GetProperty("seconds").GetDouble())),
    ];
}
