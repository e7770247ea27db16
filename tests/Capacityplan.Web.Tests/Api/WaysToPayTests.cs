using System.Text.Json;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

/// <summary>Machines paid for in every way; all prices are invented.</summary>
public sealed class WaysToPayTests(Site site) : IClassFixture<Site>, IDisposable
{
    private const string Machines =
        """
        "machines": [
          { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "relativeCoreSpeed": 1.22, "memoryGiB": 64, "startUpSeconds": 45,
            "purchase": [
              { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "licencePerCoreMonth": 1, "licencePerMachineMonth": 2 },
              { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "alwaysOn": true },
              { "kind": "term", "pricePerMonth": 40, "upfront": 120, "months": 12, "currency": "EUR" },
              { "kind": "interruptible", "pricePerHour": 0.60, "currency": "EUR", "interruptionsPerHour": 0.2, "restartSeconds": 60, "checkpointSeconds": 10 },
              { "kind": "owned", "purchasePrice": 7200, "lifetimeMonths": 48, "watts": 500, "pricePerKilowattHour": 0.30, "overheadFactor": 1.5, "hoursPerMonth": 600, "currency": "EUR" } ] },
          { "name": "Crane-48", "hardwareThreads": 48, "physicalCores": 24, "relativeCoreSpeed": 1.12, "memoryGiB": 384, "startUpSeconds": 180,
            "purchase": [ { "kind": "metered", "pricePerHour": 4, "currency": "USD" } ] } ]
        """;

    private readonly HttpClient _client = site.CreateClient();

    public void Dispose() => _client.Dispose();

    [Fact]
    public async Task EveryWay_HasItsCosts_AsWorkedByHand()
    {
        JsonElement answer = await _client.ForecastAsync(Request(""));

        (decimal Fixed, decimal More) Costs(int option) =>
            (Way(answer, option).GetProperty("fixedCostPerMonth").GetDecimal(), Way(answer, option).GetProperty("costOfOneMoreRun").GetDecimal());
        // 8 cores x 1 + 2; 730 x 1.50; 40 + 120/12; 7,200/48 + 0.5 kW x 1.5 x 600 h x 0.30.
        Assert.Equal(10, Costs(0).Fixed);
        Assert.Equal((1095, 0), Costs(1));
        Assert.Equal((50, 0), Costs(2));
        Assert.Equal(0, Costs(3).Fixed);
        Assert.Equal((285, 0), Costs(4));
        double held = Math.Ceiling(Way(answer, 0).GetProperty("heldSeconds").GetDouble());
        Assert.Equal(held * 1.50 / 3600, (double)Costs(0).More, 1e-6);
        Assert.Equal(["metered", "metered", "term", "interruptible", "owned"], Enumerable.Range(0, 5).Select(option => Way(answer, option).GetProperty("purchase").GetString()!));
    }

    [Fact]
    public async Task Interruptible_HasATimeAndChanceOfItsOwn()
    {
        JsonElement answer = await _client.ForecastAsync(Request(""));
        JsonElement metered = Way(answer, 0), interruptible = Way(answer, 3);

        Assert.Equal(JsonValueKind.Null, metered.GetProperty("expectedInterruptionsPerRun").ValueKind);
        Assert.InRange(interruptible.GetProperty("expectedInterruptionsPerRun").GetDouble(), 0.08, 0.2);
        // Young's sqrt(2 d M) of 10 s and 5 h is 600 s; Daly's rule takes a few seconds off.
        Assert.InRange(interruptible.GetProperty("bestCheckpointSeconds").GetDouble(), 590, 600);
        Assert.True(interruptible.GetProperty("chanceInWindow").GetDouble() < metered.GetProperty("chanceInWindow").GetDouble());
        Assert.True(interruptible.GetProperty("heldSeconds").GetDouble() > metered.GetProperty("heldSeconds").GetDouble());
        Assert.Equal(metered.GetProperty("runSeconds").GetRawText(), interruptible.GetProperty("runSeconds").GetRawText());
        Assert.Equal(metered.GetProperty("startToFinishSeconds").GetRawText(), Way(answer, 2).GetProperty("startToFinishSeconds").GetRawText());
    }

    [Fact]
    public async Task Verdict_SaysWhichWay_AndBreakEvenCostsTheSame()
    {
        JsonElement answer = await _client.ForecastAsync(Request(""));
        JsonElement verdict = answer.GetProperty("verdict"), breakEven = answer.GetProperty("breakEven");
        int chosen = verdict.GetProperty("option").GetInt32();

        Assert.StartsWith($"Heron-16, {(chosen == 3 ? "interruptible" : "metered, option 1")}, finishes in ", verdict.GetProperty("sentence").GetString(), StringComparison.Ordinal);
        Assert.Equal(10, breakEven.GetProperty("pairs").EnumerateArray().Count(pair => pair.GetProperty("other").GetProperty("machine").GetString() == "Heron-16"));
        Assert.Contains(" runs a month ", breakEven.GetProperty("sentence").GetString(), StringComparison.Ordinal);
        JsonElement[] meeting = [.. breakEven.GetProperty("pairs").EnumerateArray().Where(pair => pair.GetProperty("runsPerMonth").ValueKind == JsonValueKind.Number)];
        Assert.NotEmpty(meeting);
        Assert.All(meeting, pair =>
        {
            double runs = pair.GetProperty("runsPerMonth").GetDouble();
            Assert.Equal(Month(Way(answer, Option(pair, "one")), runs), Month(Way(answer, Option(pair, "other")), runs), 1e-3);
            Assert.True(Month(Way(answer, Option(pair, "cheaperBelow")), runs / 2) < Month(Way(answer, Option(pair, "cheaperAbove")), runs / 2));
        });

        static int Option(JsonElement pair, string name) => pair.GetProperty(name).GetProperty("option").GetInt32();
        static double Month(JsonElement way, double runs) => way.GetProperty("fixedCostPerMonth").GetDouble() + runs * way.GetProperty("costOfOneMoreRun").GetDouble();
    }

    [Fact]
    public async Task Rates_MakeCurrenciesComparable_AndAreNamedInTheProblems()
    {
        JsonElement without = await _client.ForecastAsync(Request(""));
        JsonElement with = await _client.ForecastAsync(Request(""", "rates": [ { "from": "USD", "to": "EUR", "rate": 0.5, "takenOn": "2026-11-03" } ]"""));
        JsonElement before = Machine(without, "Crane-48"), after = Machine(with, "Crane-48");

        Assert.Equal(("USD", "EUR"), (before.GetProperty("currency").GetString(), after.GetProperty("currency").GetString()));
        Assert.Equal(before.GetProperty("costPerRun").GetDouble() / 2, after.GetProperty("costPerRun").GetDouble(), 1e-6);
        Assert.Contains(with.GetProperty("problems").EnumerateArray(), problem =>
            problem.GetProperty("path").GetString() == "rates" && problem.GetProperty("message").GetString()!.Contains("3 Nov 2026", StringComparison.Ordinal));
    }

    private static string Request(string more) =>
        $$"""
        { "job": {
            "timings": [ { "cores": 1, "seconds": 23280 }, { "cores": 2, "seconds": 11800 }, { "cores": 4, "seconds": 6246 }, { "cores": 8, "seconds": 3410 } ],
            "window": { "seconds": 5400, "targetChance": 0.95 } },
          {{Machines}}{{more}} }
        """;

    private static JsonElement Way(JsonElement answer, int option) => answer.GetProperty("machines").EnumerateArray().Single(
        machine => machine.GetProperty("machine").GetString() == "Heron-16" && machine.GetProperty("option").GetInt32() == option);

    private static JsonElement Machine(JsonElement answer, string name) =>
        answer.GetProperty("machines").EnumerateArray().Single(machine => machine.GetProperty("machine").GetString() == name);
}
