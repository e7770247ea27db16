using System.Text.Json;
using Capacityplan.Storage;
using Capacityplan.Web.Api;
using Capacityplan.Web.Plans;
using Capacityplan.Web.Tests.Serving;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Api;

public sealed class ForecastsApiTests(Site site) : IClassFixture<Site>, IDisposable
{
    private readonly HttpClient _client = site.CreateClient();

    public void Dispose() => _client.Dispose();

    [Fact]
    public async Task Demo_HasHeron16AsItsVerdict()
    {
        JsonElement answer = await _client.ForecastAsync(ForecastCalls.Demo);

        JsonElement verdict = answer.GetProperty("verdict");
        Assert.Equal("Heron-16", verdict.GetProperty("machine").GetString());
        Assert.Equal("metered", verdict.GetProperty("purchase").GetString());
        Assert.StartsWith("Heron-16 finishes in ", verdict.GetProperty("sentence").GetString(), StringComparison.Ordinal);
        JsonElement heron = Machine(answer, "Heron-16");
        Assert.InRange(heron.GetProperty("chanceInWindow").GetDouble(), 0.95, 1);
        Assert.True(heron.GetProperty("fits").GetBoolean());
        Assert.False(Machine(answer, "Wren-2").GetProperty("fits").GetBoolean());
        // By hand: start-up 45 s and the run, by the second, at 1.50 an hour, 30.4 times a month.
        decimal billed = Math.Ceiling((decimal)heron.GetProperty("runSeconds").GetProperty("median").GetDouble() + 45);
        Assert.Equal(Math.Round(billed * 1.50m / 3600, 6), heron.GetProperty("costPerRun").GetDecimal());
        Assert.Equal(Math.Round(billed * 1.50m / 3600 * 30.4m, 6), heron.GetProperty("costPerMonth").GetDecimal());
    }

    [Fact]
    public async Task Answer_OfOneCoreCount_HoldsBoundsOnly_AndAsksForASecond()
    {
        JsonElement answer = await _client.ForecastAsync(
            """{ "job": { "timings": [ { "cores": 4, "seconds": 200 } ], "window": { "seconds": 600 } }, "cores": [1, 4, 16] }""");

        JsonElement forecast = answer.GetProperty("forecast");
        Assert.Equal(0, forecast.GetProperty("points").GetArrayLength());
        Assert.Equal(
            [(1, 200.0, 800.0), (4, 200.0, 200.0), (16, 50.0, 200.0)],
            forecast.GetProperty("bounds").EnumerateArray().Select(bound => (
                bound.GetProperty("cores").GetInt32(), bound.GetProperty("floorSeconds").GetDouble(), bound.GetProperty("ceilingSeconds").GetDouble())),
            (one, other) => one.Item1 == other.Item1 && Math.Abs(one.Item2 - other.Item2) < 1e-9 && Math.Abs(one.Item3 - other.Item3) < 1e-9);
        Assert.Equal(JsonValueKind.Null, answer.GetProperty("verdict").ValueKind);
        Assert.Contains(answer.GetProperty("problems").EnumerateArray(), problem =>
            problem.GetProperty("message").GetString()!.Contains("second core count", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Answer_HasTheNamesThatWerePromised()
    {
        JsonElement answer = await _client.ForecastAsync(ForecastCalls.Demo);

        Assert.Equal(["seed", "understood", "forecast", "machines", "verdict", "breakEven", "problems"], Names(answer));
        Assert.Equal(1, answer.GetProperty("seed").GetInt32());
        Assert.Equal(["cores", "seconds"], Names(answer.GetProperty("understood").GetProperty("timings")[0]));
        JsonElement forecast = answer.GetProperty("forecast");
        Assert.Equal(["measuredUpToCores", "workSeconds", "spanSeconds", "points", "limits", "models", "nextMeasurement", "outlook", "diagnostics"], Names(forecast));
        Assert.Equal(8, forecast.GetProperty("measuredUpToCores").GetInt32());
        JsonElement point = forecast.GetProperty("points")[0];
        Assert.Equal(["cores", "seconds", "speedup", "efficiency", "floorSeconds", "greedyCeilingSeconds", "limitedBy"], Names(point));
        Assert.Equal(["median", "low", "high"], Names(point.GetProperty("seconds")));
        Assert.Equal(["median", "low", "high"], Names(point.GetProperty("speedup")));
        Assert.Equal("work", point.GetProperty("limitedBy").GetString());
        Assert.Equal(["cores", "bandShrinkage"], Names(forecast.GetProperty("nextMeasurement")));
        JsonElement model = forecast.GetProperty("models").EnumerateArray().Single(model => model.GetProperty("name").GetString() == "serial plus parallel");
        Assert.Equal(["name", "formula", "weight", "parameters", "aiccAboveBest", "leftOutError"], Names(model));
        Assert.Subset(Names(model.GetProperty("parameters")).ToHashSet(), new HashSet<string> { "parallelSeconds", "serialSeconds" });
        Assert.Equal(
            [
                "machine", "purchase", "option", "runSeconds", "startToFinishSeconds", "chanceInWindow", "heldSeconds", "costPerRun", "costPerMonth", "fixedCostPerMonth",
                "costOfOneMoreRun", "currency", "expectedInterruptionsPerRun", "bestCheckpointSeconds", "onFrontier", "fits", "why",
            ],
            Names(answer.GetProperty("machines")[0]));
        Assert.Equal(["machine", "purchase", "option", "sentence"], Names(answer.GetProperty("verdict")));
        JsonElement problem = answer.GetProperty("problems")[0];
        Assert.Equal(["severity", "path", "line", "column", "message"], Names(problem));
        Assert.Equal("note", problem.GetProperty("severity").GetString());
    }

    [Fact]
    public async Task Points_ObeyTheWorkAndSpanLaws()
    {
        JsonElement forecast = (await _client.ForecastAsync(ForecastCalls.Demo)).GetProperty("forecast");
        double work = forecast.GetProperty("workSeconds").GetDouble(), span = forecast.GetProperty("spanSeconds").GetDouble();

        foreach (JsonElement point in forecast.GetProperty("points").EnumerateArray())
        {
            int cores = point.GetProperty("cores").GetInt32();
            // Brent, Journal of the ACM 21(2), 1974; Graham, Bell System Technical Journal 45(9), 1966.
            Assert.Equal(Math.Max(work / cores, span), point.GetProperty("floorSeconds").GetDouble(), 1e-9 * work);
            Assert.Equal((work - span) / cores + span, point.GetProperty("greedyCeilingSeconds").GetDouble(), 1e-9 * work);
            Assert.Equal(point.GetProperty("speedup").GetProperty("median").GetDouble() / cores, point.GetProperty("efficiency").GetDouble(), 1e-12);
        }
    }

    [Fact]
    public async Task SameRequest_TwiceAndAtOnce_HasTheSameBytes()
    {
        byte[] once = await _client.BytesAsync(ForecastCalls.Demo);
        byte[][] again = await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => _client.BytesAsync(ForecastCalls.Demo)));

        Assert.All(again, bytes => Assert.Equal(once, bytes));
        string seeded = ForecastCalls.Demo.Insert(ForecastCalls.Demo.IndexOf('{', StringComparison.Ordinal) + 1, """ "seed": 2, """);
        JsonElement other = JsonElement.Parse(await _client.BytesAsync(seeded));
        Assert.Equal(2, other.GetProperty("seed").GetInt32());
        Assert.NotEqual(
            JsonElement.Parse(once).GetProperty("forecast").GetProperty("spanSeconds").GetDouble(),
            other.GetProperty("forecast").GetProperty("spanSeconds").GetDouble());
    }

    [Fact]
    public async Task FieldsNotGiven_TakeTheirDefaults()
    {
        byte[] bare = await _client.BytesAsync(
            """
            {
              "job": {
                "timings": [ { "cores": 1, "seconds": 812.0 }, { "cores": 4, "seconds": 231.5 }, { "cores": 8, "seconds": 150 } ],
                "workAndSpan": { "workSeconds": 800, "spanSeconds": 9, "tasks": 4000 },
                "window": { "seconds": 3600 }
              },
              "machines": [ { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "memoryGiB": 64,
                "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR" } ] } ]
            }
            """);
        byte[] full = await _client.BytesAsync(
            """
            {
              "job": {
                "name": "night tiles",
                "timings": [ { "cores": 1, "seconds": 812.0, "size": 1.0 }, { "cores": 4, "seconds": 231.5, "sitting": null }, { "cores": 8, "seconds": 150 } ],
                "workAndSpan": { "workSeconds": 800, "spanSeconds": 9, "tasks": 4000,
                  "forkSeconds": 5e-8, "joinSeconds": 5e-8, "stealAttemptSeconds": 2e-7, "stealSeconds": 1e-6 },
                "measuredOn": { "relativeCoreSpeed": 1.0 },
                "secondThreadGain": 0.25,
                "window": { "seconds": 3600, "targetChance": 0.95 },
                "nights": { "heavyShare": 0, "heavyFactor": 1 },
                "growthPerMonth": 0,
                "runsPerMonth": 30.4,
                "memoryGiB": 0
              },
              "cores": [ 1, 2, 4, 8, 16, 32, 64, 128 ],
              "band": 0.8,
              "machines": [ { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "relativeCoreSpeed": 1, "memoryGiB": 64, "startUpSeconds": 0,
                "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 0 } ] } ],
              "seed": 1
            }
            """);

        Assert.Equal(bare, full);
        Assert.Equal("Heron-16", JsonElement.Parse(bare).GetProperty("verdict").GetProperty("machine").GetString());
    }

    [Fact]
    public async Task Machines_NotGiven_AreThoseOfTheSavedCatalogue()
    {
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}}, "window": { "seconds": 3600 } } }""");

        Assert.Equal(12, answer.GetProperty("machines").GetArrayLength());
        Assert.Contains("prices are invented", Problem(answer, "machines").GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Machines_NotGivenAndNoneSaved_AreNoneWithAProblem()
    {
        await using Site empty = new();
        using HttpClient client = empty.CreateClient();
        CatalogueStore store = empty.Services.GetRequiredService<CatalogueStore>();
        foreach (StoredCatalogue saved in await store.ListAsync(TestContext.Current.CancellationToken))
            Assert.True(await store.DeleteAsync(saved.Id, TestContext.Current.CancellationToken));

        JsonElement answer = await client.ForecastAsync($$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}}, "window": { "seconds": 3600 } } }""");

        Assert.Equal(0, answer.GetProperty("machines").GetArrayLength());
        Assert.Equal(JsonValueKind.Null, answer.GetProperty("verdict").ValueKind);
        JsonElement problem = Problem(answer, "machines");
        Assert.Equal("warning", problem.GetProperty("severity").GetString());
        Assert.Contains("no catalogue is saved", problem.GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Window_NotGiven_LeavesVerdictAndChancesOut()
    {
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}} }, "machines": [ {{ForecastCalls.OneMachine}} ] }""");

        Assert.Equal(JsonValueKind.Null, answer.GetProperty("verdict").ValueKind);
        Assert.Equal(JsonValueKind.Null, answer.GetProperty("machines")[0].GetProperty("chanceInWindow").ValueKind);
        Assert.Equal(JsonValueKind.Null, answer.GetProperty("machines")[0].GetProperty("why").ValueKind);
        JsonElement problem = Problem(answer, "job.window");
        Assert.Equal("warning", problem.GetProperty("severity").GetString());
        Assert.Contains("Give the seconds", problem.GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(45, 60)]
    [InlineData(7200, 3600)]
    public async Task Verdict_WhereNoneHolds_NamesNoMachineToTake(double startUp, double window)
    {
        // Start-up longer than the window is no mistake: the chance is 0.
        JsonElement answer = await _client.ForecastAsync(FormattableString.Invariant(
            $$"""
            { "job": { "timings": {{ForecastCalls.TwoTimings}}, "window": { "seconds": {{window}} } },
              "machines": [ { "name": "Wren-2", "hardwareThreads": 2, "physicalCores": 2, "memoryGiB": 8, "startUpSeconds": {{startUp}},
                "purchase": [ { "kind": "metered", "pricePerHour": 0.2, "currency": "EUR" } ] } ] }
            """));

        JsonElement verdict = answer.GetProperty("verdict");
        Assert.Equal(JsonValueKind.Null, verdict.GetProperty("machine").ValueKind);
        Assert.Equal(JsonValueKind.Null, verdict.GetProperty("purchase").ValueKind);
        Assert.StartsWith("No machine holds ", verdict.GetProperty("sentence").GetString(), StringComparison.Ordinal);
        Assert.Equal(0, answer.GetProperty("machines")[0].GetProperty("chanceInWindow").GetDouble());
    }

    [Fact]
    public async Task WorkAndSpan_Alone_CarryAForecast()
    {
        JsonElement answer = await _client.ForecastAsync(
            """
            { "job": { "workAndSpan": { "workSeconds": 800, "spanSeconds": 9, "tasks": 4000 } }, "cores": [ 1, 16 ], "machines": [] }
            """);

        JsonElement forecast = answer.GetProperty("forecast");
        Assert.Equal(JsonValueKind.Null, forecast.GetProperty("measuredUpToCores").ValueKind);
        Assert.Equal(JsonValueKind.Null, forecast.GetProperty("nextMeasurement").ValueKind);
        Assert.Equal(800, forecast.GetProperty("workSeconds").GetDouble(), 8.0);
        Assert.Equal(9, forecast.GetProperty("spanSeconds").GetDouble(), 1e-9);
        // (T1 - T_inf)/p + T_inf, and steals of microseconds besides.
        Assert.Equal((800 - 9) / 16.0 + 9, forecast.GetProperty("points")[1].GetProperty("seconds").GetProperty("median").GetDouble(), 1.0);
        Assert.Equal(0, answer.GetProperty("understood").GetProperty("timings").GetArrayLength());
        Assert.Contains("list is empty", Problem(answer, "machines").GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task OneTiming_BesideWorkAndSpan_IsKept()
    {
        JsonElement answer = await _client.ForecastAsync(
            """
            { "job": { "timings": [ { "cores": 4, "seconds": 210, "sitting": 3, "size": 1.5 } ], "workAndSpan": { "workSeconds": 800, "spanSeconds": 9, "tasks": 4000 } },
              "machines": [] }
            """);

        JsonElement timing = answer.GetProperty("understood").GetProperty("timings")[0];
        Assert.Equal(3, timing.GetProperty("sitting").GetInt32());
        Assert.Equal(1.5, timing.GetProperty("size").GetDouble());
        Assert.Contains("work and span carry the forecast", Problem(answer, "job.timings").GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task UnknownFields_AreLeftOutWithAWarning()
    {
        JsonElement answer = await _client.ForecastAsync(
            $$"""
            { "job": { "timings": [ { "cores": 1, "seconds": 812.0, "host": "a" }, { "cores": 4, "seconds": 231.5 } ], "Window": { "seconds": 60 } },
              "machines": [ {{ForecastCalls.OneMachine}} ], "colour": { "nested": [ 1, { "cores": 1 } ] } }
            """);

        Assert.Equal(["job.timings[0].host", "job.Window", "colour"], Warnings(answer).Where(path => path != "job.window"));
        Assert.Contains("\"window\" is known", Problem(answer, "job.Window").GetProperty("message").GetString(), StringComparison.Ordinal);
        Assert.Contains("does not know the field", Problem(answer, "colour").GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task UnknownFields_ByTheThousand_AreCounted()
    {
        string many = string.Join(", ", Enumerable.Range(0, 5_000).Select(index => $"\"x{index}\": {index}"));

        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}}, {{many}} }, "machines": [] }""");

        Assert.Equal(100, Warnings(answer).Count(path => path?.StartsWith("job.x", StringComparison.Ordinal) == true));
        Assert.Contains(
            answer.GetProperty("problems").EnumerateArray(),
            problem => problem.GetProperty("message").GetString()!.StartsWith("4,900 more fields", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Headers_AreThoseOfEveryAnswer()
    {
        using HttpResponseMessage response = await _client.PostAsync(
            ForecastCalls.Address, ForecastCalls.Json(ForecastCalls.Demo), TestContext.Current.CancellationToken);

        Assert.True(response.Headers.Contains("Content-Security-Policy"));
        Assert.Equal("nosniff", Assert.Single(response.Headers.GetValues("X-Content-Type-Options")));
    }

    [Fact]
    public async Task Work_EndsWhenTheCallerGoesAway()
    {
        var context = new DefaultHttpContext { RequestServices = site.Services };
        context.Request.ContentType = "application/json";
        // The body has been read when the caller goes away: what is stopped is the work.
        using var gone = new CancellationTokenSource();
        context.Request.Body = new EndingStream(System.Text.Encoding.UTF8.GetBytes(ForecastCalls.Demo), gone.Cancel);

        await Assert.ThrowsAnyAsync<OperationCanceledException>(
            () => ForecastsApi.ForecastAsync(context.Request, site.Services.GetRequiredService<CatalogueStore>(), site.Services.GetRequiredService<SimulationTurns>(), new SimulationMemory(), gone.Token));
    }

    private static IEnumerable<string> Names(JsonElement element) => element.EnumerateObject().Select(field => field.Name);

    private static JsonElement Machine(JsonElement answer, string name) =>
        answer.GetProperty("machines").EnumerateArray().Single(machine => machine.GetProperty("machine").GetString() == name);

    private static JsonElement Problem(JsonElement answer, string path) =>
        answer.GetProperty("problems").EnumerateArray().First(problem => problem.GetProperty("path").GetString() == path);

    private static IEnumerable<string?> Warnings(JsonElement answer) =>
        answer.GetProperty("problems").EnumerateArray().Where(problem => problem.GetProperty("severity").GetString() == "warning")
            .Select(problem => problem.GetProperty("path").GetString());

    /// <summary>A stream that says when it has been read.</summary>
    private sealed class EndingStream(byte[] bytes, Action ended) : MemoryStream(bytes)
    {
        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            int read = Read(buffer.Span);
            if (read == 0)
                ended();
            return ValueTask.FromResult(read);
        }
    }
}
