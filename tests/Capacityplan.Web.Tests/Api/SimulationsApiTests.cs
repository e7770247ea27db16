using System.Globalization;
using System.Net;
using System.Text.Json;
using Capacityplan.Web.Api;
using Capacityplan.Web.Plans;
using Capacityplan.Web.Tests.Serving;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Api;

public sealed class SimulationsApiTests(Site site) : IClassFixture<Site>, IDisposable
{
    private const string Grid = """{ "name": "grid", "kind": "parallel", "units": 1000, "unitSeconds": { "distribution": "exponential", "mean": 1e-5 } }""";

    private static readonly string[][] s_reference =
        [.. File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference", "stealing", "reference.csv")).Select(line => line.Split(','))];

    private readonly HttpClient _client = site.CreateClient();

    public static TheoryData<int> Rows() => [.. Enumerable.Range(1, s_reference.Length - 1).Where(row => Number(row, "N") <= 100_000)];

    public void Dispose() => _client.Dispose();

    // Against our own reference simulation, as the tests of the calculation are.
    [Theory]
    [MemberData(nameof(Rows))]
    public async Task Simulation_OfAReferenceRow_IsWithinFourStandardErrors(int row)
    {
        int replicates = (int)Math.Clamp(1e6 / Number(row, "N"), 40, 400);
        string body = string.Create(CultureInfo.InvariantCulture, $$"""
            { "phase": { "kind": "parallel", "units": {{Text(row, "N")}}, "grain": {{Text(row, "grain")}}, "unitSeconds": {{Units(row)}},
                "forkSeconds": {{Text(row, "o_fork")}}, "joinSeconds": {{Text(row, "o_join")}}, "combineSecondsPerUnit": {{Text(row, "c_combine")}},
                "stealAttemptSeconds": {{Text(row, "a")}}, "stealSeconds": {{Text(row, "o_steal")}} },
              "cores": [ {{Text(row, "p")}} ], "replicates": {{replicates}}, "seed": 11 }
            """);

        JsonElement answer = await _client.SimulateAsync(body);

        Assert.Equal(11, answer.GetProperty("seed").GetInt32());
        JsonElement result = Assert.Single(answer.GetProperty("results").EnumerateArray());
        JsonElement makespan = result.GetProperty("makespanSeconds"), steals = result.GetProperty("steals");
        Near(makespan, Number(row, "mean_makespan"), Number(row, "se_makespan"));
        Near(steals, Number(row, "mean_steals"), Number(row, "sd_steals") / Math.Sqrt(Number(row, "replicates")));
        Assert.True(makespan.GetProperty("p05").GetDouble() <= makespan.GetProperty("median").GetDouble());
        Assert.True(makespan.GetProperty("median").GetDouble() <= makespan.GetProperty("p95").GetDouble());
        Assert.Equal(1, result.GetProperty("shares").EnumerateObject().Sum(share => share.Value.GetDouble()), 1e-9);
        Assert.Equal(Number(row, "mean_T1"), result.GetProperty("workSeconds").GetDouble(), 0.02 * Number(row, "mean_T1"));

        void Near(JsonElement ours, double mean, double error)
        {
            double own = ours.GetProperty("standardDeviation").GetDouble() / Math.Sqrt(replicates);
            double allowed = 4 * Math.Sqrt(own * own + error * error) + 1e-7 * mean;
            Assert.Equal(mean, ours.GetProperty("mean").GetDouble(), allowed);
        }
    }

    [Fact]
    public async Task Answer_HasTheFieldsPromised()
    {
        JsonElement answer = await _client.SimulateAsync($$"""{ "phase": {{Grid}}, "cores": [ 4, 1, 4096 ], "replicates": 5 }""");

        Assert.Equal(["seed", "results", "problems"], Names(answer));
        Assert.Equal(1, answer.GetProperty("seed").GetInt32());
        JsonElement[] results = [.. answer.GetProperty("results").EnumerateArray()];
        Assert.Equal([4, 1, 4096], results.Select(result => result.GetProperty("cores").GetInt32()));
        Assert.Equal(
            ["cores", "makespanSeconds", "steals", "failedAttempts", "shares", "meanStolenUnits", "meanPoppedUnits", "workSeconds", "spanSeconds"],
            Names(results[0]));
        Assert.Equal(["mean", "standardDeviation", "p05", "median", "p95"], Names(results[0].GetProperty("makespanSeconds")));
        Assert.Equal(["mean", "standardDeviation"], Names(results[0].GetProperty("steals")));
        Assert.Equal(["mean"], Names(results[0].GetProperty("failedAttempts")));
        Assert.Equal(["work", "serial", "overhead", "stealing", "idle"], Names(results[0].GetProperty("shares")));
        Assert.Equal(0, results[1].GetProperty("steals").GetProperty("mean").GetDouble());
        Assert.Equal(results[1].GetProperty("workSeconds").GetDouble(), results[1].GetProperty("makespanSeconds").GetProperty("mean").GetDouble(), 1e-12);
    }

    [Fact]
    public async Task Simulation_OfOneSeed_HasTheSameBytes()
    {
        async Task<string> Text(int seed) =>
            (await _client.SimulateAsync($$"""{ "phase": {{Grid}}, "cores": [ 8 ], "replicates": 40, "seed": {{seed}} }""")).GetRawText();

        Assert.Equal(await Text(3), await Text(3));
        Assert.NotEqual(await Text(3), await Text(4));
    }

    [Theory]
    [InlineData("""{ "cores": [ 1 ] }""", "phase", "missing")]
    [InlineData("""{ "phase": null, "cores": [ 1 ] }""", "phase", "null")]
    [InlineData("""{ "phase": { "kind": "serial", "seconds": 1 }, "cores": [ 1 ] }""", "phase.kind", "only a parallel one")]
    [InlineData("""{ "phase": { "kind": "parallel", "units": 0 }, "cores": [ 1 ] }""", "phase.units", "from 1")]
    [InlineData("""{ "phase": { "kind": "parallel", "units": 1 }, "cores": [ 1 ] }""", "phase.unitSeconds", "missing")]
    [InlineData("""{ "phase": { "kind": "parallel", "units": 9, "stealAttemptSeconds": 0, "unitSeconds": { "distribution": "constant", "value": 1 } }, "cores": [ 1 ] }""", "phase.stealAttemptSeconds", "from 1e-12")]
    public async Task Phase_ThatIsImpossible_IsPointedAt(string body, string path, string message) => await RefusedAsync(body, path, message);

    [Theory]
    [InlineData("\"cores\": []", "cores", "is the least")]
    [InlineData("\"cores\": [ 4097 ]", "cores[0]", "from 1 to 4,096")]
    [InlineData("\"cores\": [ 1, 0 ]", "cores[1]", "from 1 to 4,096")]
    [InlineData("\"replicates\": 3", "cores", "missing")]
    [InlineData("\"cores\": [ 1 ], \"replicates\": 0", "replicates", "from 1")]
    [InlineData("\"cores\": [ 1 ], \"replicates\": 100001", "replicates", "from 1")]
    [InlineData("\"cores\": [ 1 ], \"seed\": 0.5", "seed", "whole number")]
    public async Task Setting_ThatIsImpossible_IsPointedAt(string settings, string path, string message) =>
        await RefusedAsync($$"""{ "phase": {{Grid}}, {{settings}} }""", path, message);

    // Each of these would keep a machine busy for minutes to years.
    [Theory]
    [InlineData("""{ "kind": "parallel", "units": 100000000000, "unitSeconds": { "distribution": "lognormal", "mu": -9, "sigma": 1 } }""", 8, 1)]
    [InlineData("""{ "kind": "parallel", "units": 10000000, "unitSeconds": { "distribution": "uniform", "min": 0, "max": 1e-5 } }""", 8, 200)]
    [InlineData("""{ "kind": "parallel", "units": 10000000000, "unitSeconds": { "distribution": "constant", "value": 1e-5 } }""", 4096, 1000)]
    public async Task Simulation_ThatWouldTakeTooLong_IsRefusedAtOnce(string phase, int cores, int replicates)
    {

        await RefusedAsync(string.Create(CultureInfo.InvariantCulture, $$"""{ "phase": {{phase}}, "cores": [ {{cores}} ], "replicates": {{replicates}} }"""), "phase", "steps");

    }

    [Fact]
    public async Task Body_ThatIsNotJson_IsPointedAt()
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.BadRequest, ForecastCalls.Json("{ \"phase\": "), ForecastCalls.SimulationsAddress));

        Assert.Equal("phase", error.Path);
    }

    [Fact]
    public async Task UnknownField_IsLeftOutWithAWarning()
    {
        JsonElement answer = await _client.SimulateAsync($$"""{ "phase": {{Grid}}, "cores": [ 2 ], "replicates": 1, "runs": 7 }""");

        Assert.Equal("runs", Assert.Single(answer.GetProperty("problems").EnumerateArray()).GetProperty("path").GetString());
    }

    [Fact]
    public async Task OtherMethods_AreRefusedWithTheOneAllowed()
    {
        using HttpResponseMessage response = await _client.GetAsync(new Uri(ForecastCalls.SimulationsAddress, UriKind.Relative), TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.MethodNotAllowed, response.StatusCode);
        Assert.Equal(["POST"], response.Content.Headers.Allow);
    }

    [Fact]
    public async Task Work_EndsWhenTheCallerGoesAway()
    {
        using var gone = new CancellationTokenSource();
        var turns = site.Services.GetRequiredService<SimulationTurns>();
        HttpRequest Request(string body) => new DefaultHttpContext
        {
            RequestServices = site.Services,
            Request = { ContentType = "application/json", Body = new MemoryStream(System.Text.Encoding.UTF8.GetBytes(body)) },
        }.Request;
        // Half a minute of work, within the limit.
        const string Long = """{ "phase": { "kind": "parallel", "units": 90000000, "unitSeconds": { "distribution": "uniform", "min": 0, "max": 1 } }, "cores": [ 8 ], "replicates": 10 }""";
        Task work = SimulationsApi.SimulateAsync(Request(Long), turns, TimeProvider.System, gone.Token);
        // Other callers wait their turn, and may go away too.
        Task second = SimulationsApi.SimulateAsync(Request(Long), turns, TimeProvider.System, gone.Token);
        Task waiting = SimulationsApi.SimulateAsync(Request(Long), turns, TimeProvider.System, gone.Token);

        Assert.False(work.IsCompleted);
        await gone.CancelAsync();

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => work);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => second);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => waiting);
        // The turn is free again.
        await _client.SimulateAsync($$"""{ "phase": {{Grid}}, "cores": [ 2 ], "replicates": 1 }""");
    }

    private async Task RefusedAsync(string body, string path, string message)
    {
        Refusal[] errors = await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, ForecastCalls.Json(body), ForecastCalls.SimulationsAddress);

        Assert.Equal(path, errors[0].Path);
        Assert.Contains(message, errors[0].Message, StringComparison.Ordinal);
    }

    private static IEnumerable<string> Names(JsonElement element) => element.EnumerateObject().Select(field => field.Name);

    private static string Text(int row, string column) => s_reference[row][Array.IndexOf(s_reference[0], column)];

    private static double Number(int row, string column) => double.Parse(Text(row, column), CultureInfo.InvariantCulture);

    private static string Units(int row)
    {
        Dictionary<string, string> of = Text(row, "params").Split(';').Select(one => one.Split('=')).ToDictionary(one => one[0], one => one[1]);
        return Text(row, "distribution") switch
        {
            "constant" => $$"""{ "distribution": "constant", "value": {{of["value"]}} }""",
            "uniform" => $$"""{ "distribution": "uniform", "min": {{of["lo"]}}, "max": {{of["hi"]}} }""",
            "exponential" => $$"""{ "distribution": "exponential", "mean": {{of["mean"]}} }""",
            "gamma" => $$"""{ "distribution": "gamma", "shape": {{of["shape"]}}, "scale": {{of["scale"]}} }""",
            "lognormal" => $$"""{ "distribution": "lognormal", "mu": {{of["mu"]}}, "sigma": {{of["sigma"]}} }""",
            "bounded_pareto" => $$"""{ "distribution": "boundedPareto", "alpha": {{of["alpha"]}}, "min": {{of["L"]}}, "max": {{of["H"]}} }""",
            string other => throw new InvalidOperationException($"No such distribution: '{other}'."),
        };
    }
}
