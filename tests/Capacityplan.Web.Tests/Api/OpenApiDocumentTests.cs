using System.Net.Http.Headers;
using System.Text.Json;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

public sealed class OpenApiDocumentTests(Site site) : IClassFixture<Site>
{
    [Fact]
    public async Task Document_IsOpenApi31OfTheApiAlone()
    {
        JsonElement document = await DocumentAsync();

        Assert.StartsWith("3.1", document.GetProperty("openapi").GetString(), StringComparison.Ordinal);
        Assert.Equal(
            ["/api/v1/forecasts", "/api/v1/simulations", "/api/v1/task-graphs", "/api/v1/catalogues", "/api/v1/catalogues/{id}", "/api/v1/plans", "/api/v1/plans/{id}"],
             document.GetProperty("paths").EnumerateObject().Select(path => path.Name));
        Assert.Equal(["post"], document.GetProperty("paths").GetProperty("/api/v1/forecasts").EnumerateObject().Select(method => method.Name));
    }

    [Theory]
    [InlineData("/api/v1/forecasts", "Forecasts a job and prices machines for it.", "ForecastAnswer")]
    [InlineData("/api/v1/simulations", "Simulates a parallel phase on work-stealing pools.", "SimulationsAnswer")]
    [InlineData("/api/v1/task-graphs", "Follows a task graph and schedules it.", "TaskGraphAnswer")]
    public async Task Operation_DeclaresItsAnswersAndRefusals(string path, string summary, string answer)
    {
        JsonElement operation = (await DocumentAsync()).GetProperty("paths").GetProperty(path).GetProperty("post");

        Assert.Equal(summary, operation.GetProperty("summary").GetString());
        Assert.Equal(["200", "400", "413", "415", "422"], operation.GetProperty("responses").EnumerateObject().Select(response => response.Name));
        foreach (JsonProperty response in operation.GetProperty("responses").EnumerateObject())
        {
            JsonProperty content = Assert.Single(response.Value.GetProperty("content").EnumerateObject());
            (string type, string schema) = response.Name == "200" ? ("application/json", answer) : ("application/problem+json", "RequestProblem");
            Assert.Equal(type, content.Name);
            Assert.Equal("#/components/schemas/" + schema, content.Value.GetProperty("schema").GetProperty("$ref").GetString());
            Assert.True(response.Value.GetProperty("description").GetString()!.Length > 20);
        }
    }

    [Fact]
    public async Task SimulationExample_IsAnswered()
    {
        JsonElement operation = (await DocumentAsync()).GetProperty("paths").GetProperty("/api/v1/simulations").GetProperty("post");
        Assert.Contains("1e9 steps", operation.GetProperty("description").GetString(), StringComparison.Ordinal);
        string example = operation.GetProperty("requestBody").GetProperty("content").GetProperty("application/json").GetProperty("example").GetRawText();

        using HttpClient client = site.CreateClient();
        JsonElement answer = await client.SimulateAsync(example);

        Assert.Equal(2, answer.GetProperty("results").GetArrayLength());
    }

    [Fact]
    public async Task TaskGraphExample_IsAnsweredAndItsQueryDescribed()
    {
        JsonElement operation = (await DocumentAsync()).GetProperty("paths").GetProperty("/api/v1/task-graphs").GetProperty("post");
        Assert.Equal(
            ["cores", "replicates", "seed", "forkSeconds", "joinSeconds", "stealAttemptSeconds", "stealSeconds"],
            operation.GetProperty("parameters").EnumerateArray().Select(parameter => parameter.GetProperty("name").GetString()));
        JsonElement body = operation.GetProperty("requestBody");
        Assert.Contains("268,435,456 bytes", body.GetProperty("description").GetString(), StringComparison.Ordinal);
        Assert.Equal(["text/plain", "text/csv", "application/json"], body.GetProperty("content").EnumerateObject().Select(type => type.Name));
        string example = body.GetProperty("content").GetProperty("text/csv").GetProperty("example").GetString()!;

        using HttpClient client = site.CreateClient();
        using HttpResponseMessage response = await client.PostAsync(
            "/api/v1/task-graphs?cores=2", new StringContent(example, new MediaTypeHeaderValue("text/csv", "utf-8")), TestContext.Current.CancellationToken);

        JsonElement answer = JsonElement.Parse(await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
        Assert.Equal(382, answer.GetProperty("spanSeconds").GetDouble());
    }

    [Fact]
    public async Task Example_IsAnswered()
    {
        JsonElement body = (await DocumentAsync()).GetProperty("paths").GetProperty("/api/v1/forecasts").GetProperty("post").GetProperty("requestBody");
        Assert.Contains("33,554,432 bytes", body.GetProperty("description").GetString(), StringComparison.Ordinal);
        JsonElement json = body.GetProperty("content").GetProperty("application/json");

        using HttpClient client = site.CreateClient();
        JsonElement answer = await client.ForecastAsync(json.GetProperty("example").GetRawText());

        Assert.Equal("Heron-16", answer.GetProperty("verdict").GetProperty("machine").GetString());
    }

    [Theory]
    [InlineData("ForecastRequest", "job")]
    [InlineData("TimingRequest", "cores seconds")]
    [InlineData("WorkAndSpanRequest", "workSeconds spanSeconds tasks")]
    [InlineData("WindowRequest", "seconds")]
    [InlineData("NightsRequest", "heavyShare heavyFactor")]
    [InlineData("MachineRequest", "name hardwareThreads physicalCores memoryGiB purchase")]
    [InlineData("PurchaseRequest", "kind currency")]
    [InlineData("ForecastAnswer", "seed understood forecast machines verdict breakEven problems")]
    [InlineData("ScalingAnswer", "measuredUpToCores workSeconds spanSeconds points limits models nextMeasurement")]
    [InlineData("ForecastPoint", "cores seconds speedup efficiency floorSeconds greedyCeilingSeconds limitedBy")]
    [InlineData("Band", "median low high")]
    [InlineData("MachineAnswer", "machine purchase option runSeconds startToFinishSeconds chanceInWindow heldSeconds costPerRun costPerMonth fixedCostPerMonth costOfOneMoreRun currency expectedInterruptionsPerRun bestCheckpointSeconds onFrontier fits why")]
    [InlineData("VerdictAnswer", "machine purchase option sentence")]
    [InlineData("BreakEvensAnswer", "pairs sentence")]
    [InlineData("BreakEvenAnswer", "one other runsPerMonth cheaperBelow cheaperAbove")]
    [InlineData("RateRequest", "from to rate takenOn")]
    [InlineData("ProblemAnswer", "severity path line column message")]
    [InlineData("RequestError", "path line column message")]
    [InlineData("RequestProblem", "errors")]
    [InlineData("NightRequest", "jobs")]
    [InlineData("NightJobRequest", "name job")]
    [InlineData("GrowthPointRequest", "month input")]
    [InlineData("NightRunAnswer", "job startSeconds endSeconds cores workSeconds spanSeconds")]
    [InlineData("WhatIfAnswer", "name verdict choice")]
    [InlineData("GrowthPathAnswer", "machines path totalCost currency monthsWithout")]
    [InlineData("SensitivityAnswer", "choice baseCost currency inputs")]
    [InlineData("StructureRequest", "phases")]
    [InlineData("PhaseRequest", "kind")]
    [InlineData("UnitSecondsRequest", "distribution")]
    [InlineData("SimulationRequest", "phase cores")]
    [InlineData("SimulatedAnswer", "cores makespanSeconds steals failedAttempts shares meanStolenUnits meanPoppedUnits workSeconds spanSeconds")]
    [InlineData("TaskGraphAnswer", "seed tasks edges workSeconds spanSeconds parallelism maxWidth criticalPath replicates schedules problems")]
    [InlineData("ScheduleAnswer", "cores listSeconds stealingSeconds floorSeconds provedOptimal greedyCeilingSeconds")]
    [InlineData("StealingAnswer", "mean low high")]
    [InlineData("CalibrationAnswer", "workFactor overheadFactor spanFactor share residuals statement")]
    [InlineData("TimingAnswer", "cores seconds")]
    public async Task Schema_RequiresWhatHasToBeOrAlwaysIsThere(string name, string required)
    {
        JsonElement schema = Schema(await DocumentAsync(), name);

        Assert.Equal(required.Split(' ').Order(), schema.GetProperty("required").EnumerateArray().Select(field => field.GetString()!).Order());
    }

    [Theory]
    [InlineData("JobRequest", "name timings timingsText baseSeconds workAndSpan structure graph measuredOn secondThreadGain machineNoise window nights growthPerMonth runsPerMonth memoryGiB pastNights night")]
    [InlineData("WhatIfRequest", "name input work span grain overhead coresAtMost windowSeconds price")]
    [InlineData("GrowthRequest", "perMonth table formula items")]
    [InlineData("PastNightsRequest", "sizes runSeconds")]
    [InlineData("NightRequest", "after mayShareCores jobs")]
    [InlineData("NightJobRequest", "name after job")]
    [InlineData("GraphRequest", "format text forkSeconds joinSeconds stealAttemptSeconds stealSeconds")]
    [InlineData("ForecastRequest", "job cores band machines rates seed whatIf growth sensitivity")]
    [InlineData("PurchaseRequest", "kind pricePerHour currency incrementSeconds minimumSeconds alwaysOn pricePerMonth upfront months interruptionsPerHour restartSeconds checkpointSeconds purchasePrice lifetimeMonths watts pricePerKilowattHour overheadFactor hoursPerMonth licencePerCoreMonth licencePerMachineMonth")]
    [InlineData("TimingRequest", "cores seconds sitting size")]
    [InlineData("PhaseRequest", "name kind seconds units unitSeconds grain forkSeconds joinSeconds combineSecondsPerUnit stealAttemptSeconds stealSeconds wakeSeconds refillSecondsPerUnit refillUnits bytesPerUnit")]
    [InlineData("UnitSecondsRequest", "distribution value min max mean shape scale mu sigma alpha values")]
    [InlineData("SimulationRequest", "phase cores replicates seed")]
    [InlineData("MachineRequest", "name hardwareThreads physicalCores relativeCoreSpeed memoryGiB memoryBandwidthGBps startUpSeconds purchase")]
    public async Task Schema_NamesTheFieldsOfARequest(string name, string fields)
    {
        JsonElement schema = Schema(await DocumentAsync(), name);

        Assert.Equal(fields.Split(' ').Order(), schema.GetProperty("properties").EnumerateObject().Select(field => field.Name).Order());
    }

    [Fact]
    public async Task Fields_AreAllDescribedOnOneLine()
    {
        JsonElement document = await DocumentAsync();

        foreach (JsonProperty schema in document.GetProperty("components").GetProperty("schemas").EnumerateObject())
        {
            if (!schema.Value.TryGetProperty("properties", out JsonElement fields))
                continue;
            foreach (JsonProperty field in fields.EnumerateObject())
            {
                string? description = field.Value.TryGetProperty("description", out JsonElement text) ? text.GetString() : null;
                Assert.False(string.IsNullOrWhiteSpace(description), $"{schema.Name}.{field.Name} is not described.");
                Assert.DoesNotContain('\n', description!);
            }
        }
    }

    [Fact]
    public async Task Limits_AndDefaults_AreStated()
    {
        JsonElement document = await DocumentAsync();

        JsonElement request = Schema(document, "ForecastRequest").GetProperty("properties");
        Assert.Equal(1_000, request.GetProperty("cores").GetProperty("maxItems").GetInt32());
        Assert.Equal(1_000_000, request.GetProperty("cores").GetProperty("items").GetProperty("maximum").GetInt32());
        Assert.Equal(0.8, request.GetProperty("band").GetProperty("default").GetDouble());
        Assert.Equal(0, request.GetProperty("band").GetProperty("exclusiveMinimum").GetDouble());
        Assert.Equal(2_000, request.GetProperty("machines").GetProperty("maxItems").GetInt32());
        JsonElement job = Schema(document, "JobRequest").GetProperty("properties");
        Assert.Equal(100_000, job.GetProperty("timings").GetProperty("maxItems").GetInt32());
        Assert.Equal(0.25, job.GetProperty("secondThreadGain").GetProperty("default").GetDouble());
        Assert.Equal(30.4, job.GetProperty("runsPerMonth").GetProperty("default").GetDouble());
        JsonElement simulation = Schema(document, "SimulationRequest").GetProperty("properties");
        Assert.Equal(4_096, simulation.GetProperty("cores").GetProperty("items").GetProperty("maximum").GetInt32());
        Assert.Equal(200, simulation.GetProperty("replicates").GetProperty("default").GetInt32());
        Assert.Equal(281_474_976_710_656, Schema(document, "PhaseRequest").GetProperty("properties").GetProperty("units").GetProperty("maximum").GetDouble());
        Assert.Equal(1_000_000, Schema(document, "UnitSecondsRequest").GetProperty("properties").GetProperty("values").GetProperty("maxItems").GetInt32());
        // What has to be given may not be null.
        Assert.Equal("integer", Schema(document, "TimingRequest").GetProperty("properties").GetProperty("cores").GetProperty("type").GetString());
        Assert.Contains("rounded to 6 decimals", Schema(document, "MachineAnswer").GetProperty("properties").GetProperty("costPerRun").GetProperty("description").GetString(), StringComparison.Ordinal);
    }

    private async Task<JsonElement> DocumentAsync()
    {
        using HttpClient client = site.CreateClient();
        using HttpResponseMessage response = await client.GetAsync("/openapi/v1.json", TestContext.Current.CancellationToken);
        response.EnsureSuccessStatusCode();
        Assert.Equal(new MediaTypeHeaderValue("application/json", "utf-8"), response.Content.Headers.ContentType);
        return JsonElement.Parse(await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
    }

    private static JsonElement Schema(JsonElement document, string name) => document.GetProperty("components").GetProperty("schemas").GetProperty(name);
}
