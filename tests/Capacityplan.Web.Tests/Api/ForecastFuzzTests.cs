using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

/// <summary>Requests that were right once and then suffered: each is answered or refused with reasons, never a fault.</summary>
public sealed class ForecastFuzzTests(Site site) : IClassFixture<Site>
{
    private const string Original =
        """
        {
          "job": {
            "name": "night tiles",
            "timings": [ { "cores": 1, "seconds": 812.0, "sitting": 1, "size": 1.0 }, { "cores": 4, "seconds": 231.5 }, { "cores": 8, "seconds": 130 } ],
            "timingsText": "cores,seconds\n2,421\n16,90",
            "workAndSpan": { "workSeconds": 800, "spanSeconds": 9, "tasks": 4000, "forkSeconds": 5e-8, "joinSeconds": 5e-8, "stealAttemptSeconds": 2e-7, "stealSeconds": 1e-6 },
            "structure": { "phases": [
              { "name": "read", "kind": "serial", "seconds": 4 },
              { "name": "grid", "kind": "parallel", "units": 4000, "grain": 2, "forkSeconds": 5e-8, "joinSeconds": 5e-8, "combineSecondsPerUnit": 1e-6,
                "stealAttemptSeconds": 2e-7, "stealSeconds": 1e-6, "bytesPerUnit": 100, "wakeSeconds": 2e-5, "refillSecondsPerUnit": 1e-7, "refillUnits": 64,
                "unitSeconds": { "distribution": "boundedPareto", "alpha": 1.5, "min": 0.05, "max": 9 } },
              { "kind": "parallel", "units": 1000, "unitSeconds": { "distribution": "sample", "values": [ 0.1, 0.2, 0.05 ] } },
              { "kind": "parallel", "units": 1000, "unitSeconds": { "distribution": "lognormal", "mu": -2, "sigma": 0.5 } },
              { "kind": "parallel", "units": 1000, "unitSeconds": { "distribution": "gamma", "shape": 2, "scale": 0.05 } } ] },
            "measuredOn": { "hardwareThreads": 8, "physicalCores": 8, "relativeCoreSpeed": 1.0 },
            "secondThreadGain": 0.25,
            "window": { "seconds": 180, "targetChance": 0.95 },
            "nights": { "heavyShare": 0.0714, "heavyFactor": 1.45 },
            "pastNights": { "sizes": [ 5.2, 4.9, 9.8, 5.0 ] },
            "night": { "after": [ "lights" ], "mayShareCores": true, "jobs": [
              { "name": "lights", "after": [], "job": { "workAndSpan": { "workSeconds": 90, "spanSeconds": 2, "tasks": 400 }, "memoryGiB": 4 } },
              { "name": "tides", "after": [ "night tiles", "lights" ], "job": { "timings": [ { "cores": 1, "seconds": 60 }, { "cores": 4, "seconds": 20 } ] } } ] },
            "growthPerMonth": 0.01,
            "runsPerMonth": 30.4,
            "memoryGiB": 24
          },
          "whatIf": [ { "name": "all", "input": 1.2, "work": 0.9, "span": 0.5, "grain": 4, "overhead": 2, "coresAtMost": 12, "windowSeconds": 170, "price": 0.9 } ],
          "growth": { "perMonth": 0.02, "table": [ { "month": 6, "input": 1.2 }, { "month": 12, "input": 1.5 } ], "formula": "nLogN", "items": 1000000 },
          "sensitivity": false,
          "cores": [ 8, 32 ],
          "band": 0.8,
          "machines": [
            { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "relativeCoreSpeed": 1.22, "memoryGiB": 64, "memoryBandwidthGBps": 180, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "incrementSeconds": 1, "minimumSeconds": 60 } ] },
            { "name": "Wren-8", "hardwareThreads": 8, "physicalCores": 8, "relativeCoreSpeed": 0.85, "memoryGiB": 32, "startUpSeconds": 45,
              "purchase": [ { "kind": "metered", "pricePerHour": 0.78, "currency": "EUR", "alwaysOn": false }, { "kind": "metered", "pricePerHour": 0.70, "currency": "USD" },
                { "kind": "term", "pricePerMonth": 300, "upfront": 900, "months": 12, "currency": "EUR", "licencePerCoreMonth": 2, "licencePerMachineMonth": 9 },
                { "kind": "interruptible", "pricePerHour": 0.3, "interruptionsPerHour": 0.2, "restartSeconds": 60, "checkpointSeconds": 5, "currency": "EUR" },
                { "kind": "owned", "purchasePrice": 9000, "lifetimeMonths": 48, "watts": 400, "pricePerKilowattHour": 0.3, "overheadFactor": 1.4, "hoursPerMonth": 400, "currency": "EUR" } ] }
          ],
          "rates": [ { "from": "USD", "to": "EUR", "rate": 0.9, "takenOn": "2026-11-03" } ],
          "seed": 1
        }
        """;

    /// <summary>What a value may turn into.</summary>
    private static readonly string[] s_values =
    [
        "null", "true", "[]", "{}", "\"\"", "\"8\"", "\"NaN\"", "\"€\"", "\"\\ud83d\"", "\"\\u0000\"", "0", "-0.0", "-1", "1", "2.5", "1e400", "-1e400", "1e308", "5e-324",
        "0.9999999999999999", "1e-12", "1000000", "1000000000", "2147483648", "9007199254740993", "123456789012345678901234567890", "[[[[1]]]]", "{\"cores\":1}", "[null]",
    ];

    /// <summary>What a number may turn into that is within some field's limits.</summary>
    private static readonly string[] s_extremes = ["0", "1", "1e-12", "1e-6", "0.01", "0.5", "0.9999999999999999", "2", "100", "1000000", "1000000000", "5e-324"];

    [Fact]
    public async Task Request_ThatWasMangled_IsNeverAFault()
    {
        using HttpClient client = site.CreateClient();
        var statuses = new Dictionary<HttpStatusCode, int>();
        for (int seed = 0; seed < 320; seed++)
        {
            byte[] body = Mangled(new Random(seed), seed % 4);
            using HttpResponseMessage response = await client.PostAsync(ForecastCalls.Address, ForecastCalls.Json(body), TestContext.Current.CancellationToken);
            string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

            statuses[response.StatusCode] = statuses.GetValueOrDefault(response.StatusCode) + 1;
            JsonElement answer = Parsed(text, $"Seed {seed}, {response.StatusCode} for {Encoding.UTF8.GetString(body)}");
            if (response.StatusCode == HttpStatusCode.OK)
            {
                Assert.True(answer.GetProperty("forecast").GetProperty("workSeconds").GetDouble() > 0, $"Seed {seed}: {text}");
            }
            else
            {
                Assert.True(
                    response.StatusCode is HttpStatusCode.BadRequest or HttpStatusCode.UnprocessableEntity,
                    $"Seed {seed}: {response.StatusCode} {text} for {Encoding.UTF8.GetString(body)}");
                Assert.True(answer.GetProperty("errors").GetArrayLength() > 0, $"Seed {seed}: {text}");
            }
        }

        // All three ways out are taken, so that the mangling is neither too gentle nor too rough.
        Assert.All([HttpStatusCode.OK, HttpStatusCode.BadRequest, HttpStatusCode.UnprocessableEntity], status => Assert.True(statuses.GetValueOrDefault(status) > 20, $"{status}: {statuses.GetValueOrDefault(status)}"));
    }

    /// <summary>The answer; one that breaks off, as where a figure cannot be written, fails with its end.</summary>
    private static JsonElement Parsed(string text, string of)
    {
        try
        {
            return JsonElement.Parse(text);
        }
        catch (JsonException broken)
        {
            Assert.Fail($"{of}: {broken.Message} It ends with {text[^Math.Min(400, text.Length)..]}");
            throw;
        }
    }

    private static byte[] Mangled(Random random, int way)
    {
        JsonNode root = JsonNode.Parse(Original)!;
        var values = new List<string>();
        int times = 1 + random.Next(3);
        for (int time = 0; time < times; time++)
        {
            List<JsonNode> nodes = [.. Below(root)];
            JsonNode node = nodes[random.Next(nodes.Count)];
            if (way == 0)
                Replace(node, s_values[random.Next(s_values.Length)], values);
            else if (way == 1)
                Remove(node);
            else if (way == 2)
                ReplaceNumbers(nodes, random, values);
        }

        string text = root.ToJsonString();
        for (int index = 0; index < values.Count; index++)
            text = text.Replace(Placeholder(index, quoted: true), values[index], StringComparison.Ordinal);
        byte[] body = Encoding.UTF8.GetBytes(text);
        return way == 3 ? Corrupted(body, random) : body;
    }

    private static IEnumerable<JsonNode> Below(JsonNode node) => node switch
    {
        JsonObject fields => fields.Select(field => field.Value).OfType<JsonNode>().SelectMany(child => Below(child).Prepend(child)),
        JsonArray items => items.OfType<JsonNode>().SelectMany(child => Below(child).Prepend(child)),
        _ => [],
    };

    /// <summary>Puts a mark where a value goes: written out by a serialiser, 1e400 or half a character would not stay what it is.</summary>
    private static void Replace(JsonNode node, string value, List<string> values)
    {
        JsonNode with = JsonValue.Create(Placeholder(values.Count, quoted: false));
        if (node.Parent is JsonObject owner)
            owner[node.GetPropertyName()] = with;
        else if (node.Parent is JsonArray list)
            list[node.GetElementIndex()] = with;
        values.Add(value);
    }

    private static string Placeholder(int index, bool quoted)
    {
        string mark = FormattableString.Invariant($"@{index}@");
        return quoted ? '"' + mark + '"' : mark;
    }

    private static void Remove(JsonNode node)
    {
        if (node.Parent is JsonObject owner)
            owner.Remove(node.GetPropertyName());
        else if (node.Parent is JsonArray list)
            list.Remove(node);
    }

    private static void ReplaceNumbers(List<JsonNode> nodes, Random random, List<string> values)
    {
        JsonNode[] numbers = [.. nodes.Where(node => node.GetValueKind() == JsonValueKind.Number)];
        for (int time = 0; time < 2; time++)
            Replace(numbers[random.Next(numbers.Length)], s_extremes[random.Next(s_extremes.Length)], values);
    }

    private static byte[] Corrupted(byte[] body, Random random)
    {
        List<byte> bytes = [.. body];
        switch (random.Next(4))
        {
            case 0:
                bytes.RemoveRange(random.Next(bytes.Count), 1);
                break;
            case 1:
                bytes.Insert(random.Next(bytes.Count), (byte)random.Next(256));
                break;
            case 2:
                bytes[random.Next(bytes.Count)] = (byte)random.Next(256);
                break;
            default:
                bytes = bytes[..random.Next(bytes.Count)];
                break;
        }

        return [.. bytes];
    }
}
