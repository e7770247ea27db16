using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;

namespace Capacityplan.Web.Tests.Api;

/// <summary>Asks for forecasts with bodies written out, so that the names on the wire are what is tested.</summary>
internal static class ForecastCalls
{
    public const string Address = "/api/v1/forecasts";

    public const string SimulationsAddress = "/api/v1/simulations";

    /// <summary>The demo's invented job and catalogue.</summary>
    public const string Demo =
        """
        {
          "job": {
            "name": "Night tiles",
            "timings": [
              { "cores": 1, "seconds": 23280 }, { "cores": 2, "seconds": 11800 }, { "cores": 2, "seconds": 12030 }, { "cores": 4, "seconds": 6246 },
              { "cores": 4, "seconds": 6350 }, { "cores": 6, "seconds": 4420 }, { "cores": 8, "seconds": 3410 }, { "cores": 8, "seconds": 3516 }
            ],
            "measuredOn": { "physicalCores": 8 },
            "window": { "seconds": 3600, "targetChance": 0.95 },
            "nights": { "heavyShare": 0.07142857142857142, "heavyFactor": 1.45 },
            "growthPerMonth": 0.01,
            "memoryGiB": 24
          },
          "machines": [
            { "name": "Wren-2", "hardwareThreads": 2, "physicalCores": 2, "relativeCoreSpeed": 0.85, "memoryGiB": 8, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 0.20, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] },
            { "name": "Wren-32", "hardwareThreads": 32, "physicalCores": 32, "relativeCoreSpeed": 0.85, "memoryGiB": 128, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 3.14, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] },
            { "name": "Heron-8", "hardwareThreads": 8, "physicalCores": 4, "relativeCoreSpeed": 1.22, "memoryGiB": 32, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 0.75, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] },
            { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "relativeCoreSpeed": 1.22, "memoryGiB": 64, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] },
            { "name": "Heron-32", "hardwareThreads": 32, "physicalCores": 16, "relativeCoreSpeed": 1.22, "memoryGiB": 128, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 3.01, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] },
            { "name": "Crane-48", "hardwareThreads": 48, "physicalCores": 24, "relativeCoreSpeed": 1.12, "memoryGiB": 384, "startUpSeconds": 180,
              "purchase": [ { "kind": "metered", "pricePerHour": 3.89, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] }
          ]
        }
        """;

    /// <summary>Two timings, the least that makes a curve.</summary>
    public const string TwoTimings = """[ { "cores": 1, "seconds": 812.0 }, { "cores": 4, "seconds": 231.5 } ]""";

    /// <summary>One machine.</summary>
    public const string OneMachine =
        """
        { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "memoryGiB": 64,
          "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR" } ] }
        """;

    public static async Task<byte[]> BytesAsync(this HttpClient client, string json)
    {
        using HttpResponseMessage response = await client.PostAsync(Address, Json(json), TestContext.Current.CancellationToken);
        return await response.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);
    }

    /// <summary>Asks, and expects an answer.</summary>
    public static Task<JsonElement> ForecastAsync(this HttpClient client, string json) => client.AnswerAsync(Address, json);

    /// <summary>Asks for a simulation, and expects one.</summary>
    public static Task<JsonElement> SimulateAsync(this HttpClient client, string json) => client.AnswerAsync(SimulationsAddress, json);

    private static async Task<JsonElement> AnswerAsync(this HttpClient client, string address, string json)
    {
        using HttpResponseMessage response = await client.PostAsync(address, Json(json), TestContext.Current.CancellationToken);
        string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(response.StatusCode == HttpStatusCode.OK, text);
        Assert.Equal("application/json", response.Content.Headers.ContentType?.MediaType);
        return JsonElement.Parse(text);
    }

    /// <summary>Asks, and expects to be refused with a status.</summary>
    /// <returns>The errors, in their order.</returns>
    public static Task<Refusal[]> RefusedAsync(this HttpClient client, HttpStatusCode expected, string json) =>
        client.RefusedAsync(expected, Json(json));

    /// <summary>The same for a body as it is.</summary>
    public static async Task<Refusal[]> RefusedAsync(this HttpClient client, HttpStatusCode expected, HttpContent body, string address = Address)
    {
        using HttpResponseMessage response = await client.PostAsync(address, body, TestContext.Current.CancellationToken);
        string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(response.StatusCode == expected, $"{response.StatusCode}: {text}");
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        JsonElement problem = JsonElement.Parse(text);
        Assert.Equal((int)expected, problem.GetProperty("status").GetInt32());
        Assert.NotEqual("", problem.GetProperty("title").GetString());
        Assert.NotEqual("", problem.GetProperty("detail").GetString());
        return [.. problem.GetProperty("errors").EnumerateArray().Select(Refusal.Read)];
    }

    public static StringContent Json(string json) => new(json, Encoding.UTF8, new MediaTypeHeaderValue("application/json"));

    public static ByteArrayContent Json(byte[] utf8) => new(utf8) { Headers = { ContentType = new MediaTypeHeaderValue("application/json") } };
}

/// <summary>One of the errors of a refused request.</summary>
internal sealed record Refusal(string? Path, int? Line, int? Column, string Message)
{
    public static Refusal Read(JsonElement error)
    {
        Assert.Equal(["path", "line", "column", "message"], error.EnumerateObject().Select(field => field.Name));
        string message = error.GetProperty("message").GetString()!;
        Assert.NotEqual("", message);
        return new Refusal(error.GetProperty("path").GetString(), Number(error, "line"), Number(error, "column"), message);
    }

    private static int? Number(JsonElement error, string name) =>
        error.GetProperty(name) is { ValueKind: JsonValueKind.Number } number ? number.GetInt32() : null;
}
