using System.Text.Json;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

/// <summary>Forecasts of jobs described by their phases.</summary>
public sealed class StructureForecastTests(Site site) : IClassFixture<Site>, IDisposable
{
    private const string Phases =
        """
        { "phases": [
          { "name": "read", "kind": "serial", "seconds": 10 },
          { "name": "grid", "kind": "parallel", "units": 20000, "unitSeconds": { "distribution": "constant", "value": 0.04 }, "grain": 4 },
          { "kind": "parallel", "units": 1000, "unitSeconds": { "distribution": "sample", "values": [ 0.1, 0.3 ] } } ] }
        """;

    private readonly HttpClient _client = site.CreateClient();

    public void Dispose() => _client.Dispose();

    [Fact]
    public async Task Forecast_OfPhasesAlone_AddsThemUp()
    {
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "structure": {{Phases}} }, "cores": [ 1, 8, 1000 ], "machines": [] }""");

        JsonElement forecast = answer.GetProperty("forecast");
        Assert.Equal(1_010, forecast.GetProperty("workSeconds").GetDouble(), 20.0);
        Assert.Equal(10.46, forecast.GetProperty("spanSeconds").GetDouble(), 0.02);
        Assert.Equal(JsonValueKind.Null, forecast.GetProperty("measuredUpToCores").ValueKind);
        Assert.Equal(10 + 1_000.0 / 8, forecast.GetProperty("points")[1].GetProperty("seconds").GetProperty("median").GetDouble(), 4.0);
        Assert.Equal("serial", forecast.GetProperty("points")[2].GetProperty("limitedBy").GetString());
        Assert.Equal("phases, simulated", forecast.GetProperty("models")[0].GetProperty("name").GetString());
        Assert.False(forecast.TryGetProperty("calibration", out _));
        Assert.Contains(answer.GetProperty("problems").EnumerateArray(), problem => problem.GetProperty("path").GetString() == "job.structure");
    }

    [Fact]
    public async Task Forecast_OfPhasesAndTimings_IsCalibrated()
    {
        const string Timings = """[ { "cores": 1, "seconds": 2020 }, { "cores": 4, "seconds": 522 }, { "cores": 8, "seconds": 272 } ]""";
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "structure": {{Phases}}, "timings": {{Timings}} }, "machines": [] }""");

        JsonElement calibration = answer.GetProperty("forecast").GetProperty("calibration");
        Assert.Equal(2, calibration.GetProperty("workFactor").GetProperty("median").GetDouble(), 0.2);
        Assert.True(calibration.GetProperty("share").GetDouble() > 0.5);
        Assert.Equal([1, 4, 8], calibration.GetProperty("residuals").EnumerateArray().Select(residual => residual.GetProperty("cores").GetInt32()));
        Assert.Contains("agree within", calibration.GetProperty("statement").GetString(), StringComparison.Ordinal);
        Assert.Equal("phases, simulated, calibrated", answer.GetProperty("forecast").GetProperty("models")[0].GetProperty("name").GetString());
        Assert.Equal(8, answer.GetProperty("forecast").GetProperty("measuredUpToCores").GetInt32());
    }

    [Fact]
    public async Task Forecast_OfPhasesThatTheTimingsContradict_SaysSo()
    {
        const string Timings = """[ { "cores": 1, "seconds": 1000 }, { "cores": 2, "seconds": 900 }, { "cores": 4, "seconds": 880 }, { "cores": 8, "seconds": 990 }, { "cores": 16, "seconds": 1300 } ]""";
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "structure": {{Phases}}, "timings": {{Timings}} }, "machines": [] }""");

        Assert.Equal(0, answer.GetProperty("forecast").GetProperty("calibration").GetProperty("share").GetDouble());
        JsonElement said = answer.GetProperty("problems").EnumerateArray().Single(problem => problem.GetProperty("path").GetString() == "job.structure");
        Assert.Equal("warning", said.GetProperty("severity").GetString());
        Assert.Contains("do not agree", said.GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Forecast_OfOneTimingBesidePhases_IsAnswered()
    {
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "structure": {{Phases}}, "timings": [ { "cores": 8, "seconds": 400 } ] }, "machines": [] }""");

        Assert.Equal(3, answer.GetProperty("forecast").GetProperty("calibration").GetProperty("workFactor").GetProperty("median").GetDouble(), 0.4);
    }

    [Fact]
    public async Task Fields_WithoutUse_AreLeftOutWithAWarning()
    {
        const string Mixed =
            """
            { "phases": [
              { "kind": "serial", "seconds": 10, "units": 5 },
              { "kind": "parallel", "seconds": 3, "units": 5, "unitSeconds": { "distribution": "constant", "value": 1, "mean": 2 } } ] }
            """;
        JsonElement answer = await _client.ForecastAsync($$"""{ "job": { "structure": {{Mixed}} }, "machines": [] }""");

        string?[] paths = [.. answer.GetProperty("problems").EnumerateArray().Select(problem => problem.GetProperty("path").GetString())];
        Assert.Contains("job.structure.phases[0].units", paths);
        Assert.Contains("job.structure.phases[1].seconds", paths);
        Assert.Contains("job.structure.phases[1].unitSeconds.mean", paths);
    }

    [Theory]
    [InlineData("""{ "distribution": "constant" }""", "value", "missing; the distribution \"constant\" needs it")]
    [InlineData("""{ "distribution": "constant", "value": 0 }""", "value", "from 1e-12")]
    [InlineData("""{ "distribution": "uniform", "min": 2, "max": 1 }""", "max", "above min")]
    [InlineData("""{ "distribution": "exponential" }""", "mean", "missing")]
    [InlineData("""{ "distribution": "gamma", "shape": 0, "scale": 1 }""", "shape", "from 0.0001")]
    [InlineData("""{ "distribution": "gamma", "shape": 1 }""", "scale", "missing")]
    [InlineData("""{ "distribution": "lognormal", "mu": 1, "sigma": 11 }""", "sigma", "to 10")]
    [InlineData("""{ "distribution": "boundedPareto", "alpha": 1, "min": 0, "max": 1 }""", "min", "above 0")]
    [InlineData("""{ "distribution": "sample" }""", "values", "missing")]
    [InlineData("""{ "distribution": "sample", "values": [] }""", "values", "is the least")]
    [InlineData("""{ "distribution": "sample", "values": [ 0, 0 ] }""", "values", "Every value is 0")]
    [InlineData("""{ "distribution": "sample", "values": [ 1, -1 ] }""", "values[1]", "from 0")]
    [InlineData("""{ "distribution": "sample", "values": [ 1, null ] }""", "values[1]", "a number")]
    [InlineData("""{ "distribution": "binomial", "mean": 1 }""", "distribution", "not a distribution")]
    public async Task Units_ThatAreImpossible_ArePointedAt(string units, string field, string message)
    {
        Refusal[] errors = await _client.RefusedAsync(
            System.Net.HttpStatusCode.UnprocessableEntity,
            $$"""{ "job": { "structure": { "phases": [ { "kind": "parallel", "units": 10, "unitSeconds": {{units}} } ] } }, "machines": [] }""");

        Assert.Equal("job.structure.phases[0].unitSeconds." + field, errors[0].Path);
        Assert.Contains(message, errors[0].Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Forecast_OfOneSeed_HasTheSameBytes()
    {
        string body = $$"""{ "job": { "structure": {{Phases}}, "timings": {{ForecastCalls.TwoTimings}} }, "machines": [], "seed": 7 }""";

        Assert.Equal(await _client.BytesAsync(body), await _client.BytesAsync(body));
    }
}
