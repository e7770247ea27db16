using System.Net;
using System.Text;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

public sealed class ForecastRefusalTests(Site site) : IClassFixture<Site>, IDisposable
{
    private const string Purchase = """{ "kind": "metered", "pricePerHour": 1, "currency": "EUR" }""";

    private readonly HttpClient _client = site.CreateClient();

    public void Dispose() => _client.Dispose();

    [Theory]
    [InlineData("", null, 1, 1)]
    [InlineData("{ \"job\": {\n  \"timings\": [\n    { \"cores\": 1, \"seconds\": NaN }", "job.timings[0].seconds", 3, 30)]
    [InlineData("{ \"band\": Infinity }", "band", 1, 11)]
    [InlineData("{ \"job\": { \"name\": \"é\", \"memoryGiB\": 08 } }", "job.memoryGiB", 1, 39)]
    [InlineData("{ \"seed\": 1, }", null, 1, 14)]
    [InlineData("{} {}", null, 1, 4)]
    [InlineData("{ \"job\": ", "job", 1, 10)]
    public async Task Body_ThatIsNotJson_IsPointedAt(string body, string? path, int line, int column)
    {
        Refusal[] errors = await _client.RefusedAsync(HttpStatusCode.BadRequest, body);

        Refusal error = Assert.Single(errors);
        Assert.Equal((path, line, column), (error.Path, error.Line, error.Column));
        Assert.StartsWith("This is not JSON: ", error.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("LineNumber", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Body_ThatIsNotUtf8_IsPointedAt()
    {
        byte[] body = [.. "{\n\"é"u8, 0xFF, .. "\": 1 }"u8];

        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.BadRequest, ForecastCalls.Json(body)));

        Assert.Equal((2, 3), (error.Line, error.Column));
    }

    [Fact]
    public async Task Body_WithAByteOrderMark_IsTaken()
    {
        byte[] answer = await _client.BytesAsync("\uFEFF" + ForecastCalls.Demo);

        Assert.Equal(await _client.BytesAsync(ForecastCalls.Demo), answer);
    }

    [Theory]
    [InlineData("[]", "It is an array; it has to be an object.")]
    [InlineData("null", "It is null; it has to be an object.")]
    [InlineData("\"text\"", "It is the text \"text\"; it has to be an object.")]
    [InlineData("17", "It is 17; it has to be an object.")]
    public async Task Body_ThatIsNoObject_IsRefusedAsAWhole(string body, string message)
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, body));

        Assert.Equal((null, message), (error.Path, error.Message));
    }

    [Theory]
    [InlineData("timings", "7", "job.timings", "an array")]
    [InlineData("timings", "[ null ]", "job.timings[0]", "an object")]
    [InlineData("timings", """[ { "seconds": 1 } ]""", "job.timings[0].cores", "missing")]
    [InlineData("timings", """[ { "cores": null, "seconds": 1 } ]""", "job.timings[0].cores", "null")]
    [InlineData("timings", """[ { "cores": 1, "secnds": 1 } ]""", "job.timings[0].seconds", "\"secnds\" beside it is not a field")]
    [InlineData("timings", """[ { "cores": "1", "seconds": 1 } ]""", "job.timings[0].cores", "without quotation marks")]
    [InlineData("timings", """[ { "cores": 1.5, "seconds": 1 } ]""", "job.timings[0].cores", "whole number")]
    [InlineData("timings", """[ { "cores": 0, "seconds": 1 } ]""", "job.timings[0].cores", "from 1 to 1,000,000")]
    [InlineData("timings", """[ { "cores": -4, "seconds": 1 } ]""", "job.timings[0].cores", "from 1 to 1,000,000")]
    [InlineData("timings", """[ { "cores": 1000001, "seconds": 1 } ]""", "job.timings[0].cores", "from 1 to 1,000,000")]
    [InlineData("timings", """[ { "cores": 1, "seconds": 0 } ]""", "job.timings[0].seconds", "from 1e-12 to 1,000,000,000")]
    [InlineData("timings", """[ { "cores": 1, "seconds": -0.5 } ]""", "job.timings[0].seconds", "It is -0.5; it has to be from")]
    [InlineData("timings", """[ { "cores": 1, "seconds": 1e400 } ]""", "job.timings[0].seconds", "It is 1e400; it is too large")]
    [InlineData("timings", """[ { "cores": 1, "seconds": "NaN" } ]""", "job.timings[0].seconds", "without quotation marks")]
    [InlineData("timings", """[ { "cores": 1, "seconds": true } ]""", "job.timings[0].seconds", "It is true; it has to be a number")]
    [InlineData("timings", """[ { "cores": 1, "cores": 2, "seconds": 1 } ]""", "job.timings[0].cores", "given twice")]
    [InlineData("timings", """[ { "cores": 1, "seconds": 1, "sitting": 0.5 } ]""", "job.timings[0].sitting", "whole number")]
    [InlineData("timings", """[ { "cores": 1, "seconds": 1, "sitting": 3000000000 } ]""", "job.timings[0].sitting", "too large")]
    [InlineData("timings", """[ { "cores": 1, "seconds": 1, "size": 0 } ]""", "job.timings[0].size", "from 1e-6")]
    [InlineData("timings", """[]""", "job", "Nothing describes the job")]
    [InlineData("timingsText", "7", "job.timingsText", "a text in quotation marks")]
    [InlineData("name", "\"\\ud800\"", "job.name", "half a character")]
    [InlineData("workAndSpan", """{ "workSeconds": 1, "spanSeconds": 2, "tasks": 3 }""", "job.workAndSpan.spanSeconds", "above the work")]
    [InlineData("workAndSpan", """{ "workSeconds": 1, "spanSeconds": 0 }""", "job.workAndSpan.tasks", "missing")]
    [InlineData("workAndSpan", """{ "workSeconds": 1, "spanSeconds": -1, "tasks": 3 }""", "job.workAndSpan.spanSeconds", "from 0")]
    [InlineData("structure", """{ "phases": [] }""", "job.structure.phases", "is the least")]
    [InlineData("structure", "{}", "job.structure.phases", "missing")]
    [InlineData("structure", """{ "phases": [ null ] }""", "job.structure.phases[0]", "an object")]
    [InlineData("structure", """{ "phases": [ {} ] }""", "job.structure.phases[0].kind", "missing")]
    [InlineData("structure", """{ "phases": [ { "kind": "batch" } ] }""", "job.structure.phases[0].kind", "\"serial\" and \"parallel\"")]
    [InlineData("structure", """{ "phases": [ { "kind": "serial" } ] }""", "job.structure.phases[0].seconds", "missing; a serial phase has a length")]
    [InlineData("structure", """{ "phases": [ { "kind": "serial", "seconds": -1 } ] }""", "job.structure.phases[0].seconds", "from 0")]
    [InlineData("structure", """{ "phases": [ { "kind": "serial", "seconds": 0 } ] }""", "job.structure.phases", "takes no time")]
    [InlineData("structure", """{ "phases": [ { "kind": "parallel", "units": 9 } ] }""", "job.structure.phases[0].unitSeconds", "missing")]
    [InlineData("structure", """{ "phases": [ { "kind": "parallel", "unitSeconds": { "distribution": "constant", "value": 1 } } ] }""", "job.structure.phases[0].units", "missing")]
    [InlineData("structure", """{ "phases": [ { "kind": "parallel", "units": 281474976710657, "unitSeconds": { "distribution": "constant", "value": 1 } } ] }""", "job.structure.phases[0].units", "from 1 to 281,474,976,710,656")]
    [InlineData("structure", """{ "phases": [ { "kind": "parallel", "units": 100000000000000, "unitSeconds": { "distribution": "constant", "value": 1 } } ] }""", "job.structure.phases", "are the most")]
    [InlineData("graph", """{ "format": "csv", "text": "" }""", "job.graph.text", "not blank")]
    [InlineData("graph", """{ "format": "csv" }""", "job.graph.text", "missing")]
    [InlineData("graph", """{ "format": "xml", "text": "id,seconds" }""", "job.graph.format", "csv, plain or json")]
    [InlineData("graph", """{ "text": "id,seconds", "stealAttemptSeconds": 0 }""", "job.graph.stealAttemptSeconds", "0")]
    [InlineData("graph", "[]", "job.graph", "an object")]
    public async Task Description_ThatIsImpossible_IsPointedAt(string field, string value, string path, string message)
    {
        Refusal[] errors = await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "{{field}}": {{value}} }, "machines": [] }""");

        Assert.Equal(path, errors[0].Path);
        Assert.Contains(message, errors[0].Message, StringComparison.Ordinal);
        Assert.Equal((null, null), (errors[0].Line, errors[0].Column));
    }

    [Theory]
    [InlineData("measuredOn", """{ "physicalCores": 0 }""", "job.measuredOn.physicalCores", "from 1")]
    [InlineData("measuredOn", """{ "hardwareThreads": -1 }""", "job.measuredOn.hardwareThreads", "from 1")]
    [InlineData("measuredOn", """{ "relativeCoreSpeed": 0 }""", "job.measuredOn.relativeCoreSpeed", "from 0.01 to 100")]
    [InlineData("secondThreadGain", "1.01", "job.secondThreadGain", "from 0 to 1")]
    [InlineData("window", "3600", "job.window", "an object")]
    [InlineData("window", "{}", "job.window.seconds", "missing")]
    [InlineData("window", """{ "seconds": 0 }""", "job.window.seconds", "above 0")]
    [InlineData("window", """{ "seconds": 60, "targetChance": 1 }""", "job.window.targetChance", "above 0 and below 1")]
    [InlineData("window", """{ "seconds": 60, "targetChance": 0 }""", "job.window.targetChance", "above 0 and below 1")]
    [InlineData("nights", """{ "heavyShare": 1.5, "heavyFactor": 2 }""", "job.nights.heavyShare", "from 0 to 1")]
    [InlineData("nights", """{ "heavyShare": 0.5 }""", "job.nights.heavyFactor", "missing")]
    [InlineData("growthPerMonth", "-1", "job.growthPerMonth", "above -1 and at most 10")]
    [InlineData("runsPerMonth", "0", "job.runsPerMonth", "from 0.001")]
    [InlineData("memoryGiB", "-1", "job.memoryGiB", "from 0")]
    public async Task Question_ThatIsImpossible_IsPointedAt(string field, string value, string path, string message)
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}}, "{{field}}": {{value}} }, "machines": [] }"""));

        Assert.Equal(path, error.Path);
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("cores", "[ 1, 2, 0 ]", "cores[2]", "from 1 to 1,000,000")]
    [InlineData("cores", "[ 1, 2.5 ]", "cores[1]", "whole number")]
    [InlineData("cores", "[ \"8\" ]", "cores[0]", "without quotation marks")]
    [InlineData("cores", "8", "cores", "an array")]
    [InlineData("band", "0", "band", "above 0")]
    [InlineData("band", "1", "band", "at most 0.999999")]
    [InlineData("seed", "1.5", "seed", "whole number")]
    [InlineData("seed", "3000000000", "seed", "too large")]
    [InlineData("machines", "{}", "machines", "an array")]
    public async Task Setting_ThatIsImpossible_IsPointedAt(string field, string value, string path, string message)
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}} }, "{{field}}": {{value}} }"""));

        Assert.Equal(path, error.Path);
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"name\": \" \"", Purchase, "machines[1].name", "not blank")]
    [InlineData("\"name\": \"heron-16\"", Purchase, "machines[1].name", "machines[0] has this name already")]
    [InlineData("\"name\": \"B\", \"startUpSeconds\": -1", Purchase, "machines[1].startUpSeconds", "from 0")]
    [InlineData("\"name\": \"B\", \"relativeCoreSpeed\": 0", Purchase, "machines[1].relativeCoreSpeed", "from 0.01")]
    [InlineData("\"name\": \"B\", \"memoryBandwidthGBps\": 0", Purchase, "machines[1].memoryBandwidthGBps", "above 0")]
    [InlineData("\"name\": \"B\"", "", "machines[1].purchase", "holds 0 items")]
    [InlineData("\"name\": \"B\"", Purchase + """, { "kind": "metered", "pricePerHour": 1, "currency": "eur" }""", "machines[1].purchase[1].currency", "ISO 4217")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "pricePerHour": -1, "currency": "EUR" }""", "machines[1].purchase[0].pricePerHour", "from 0")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "currency": "EUR" }""", "machines[1].purchase[0].pricePerHour", "missing")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "pricePerHour": 1e30, "currency": "EUR" }""", "machines[1].purchase[0].pricePerHour", "to 1,000,000")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "pricePerHour": 1, "currency": "EUR", "incrementSeconds": 0 }""", "machines[1].purchase[0].incrementSeconds", "from 1e-6")]
    [InlineData("\"name\": \"B\"", """{ "pricePerHour": 1, "currency": "EUR" }""", "machines[1].purchase[0].kind", "missing")]
    [InlineData("\"name\": \"B\"", """{ "kind": "gift", "pricePerHour": 1, "currency": "EUR" }""", "machines[1].purchase[0].kind", "not a kind of purchase")]
    [InlineData("\"name\": \"B\"", """{ "kind": "term", "pricePerMonth": 90, "currency": "EUR" }""", "machines[1].purchase[0].months", "the kind \"term\" needs it")]
    [InlineData("\"name\": \"B\"", """{ "kind": "term", "months": 12, "currency": "EUR" }""", "machines[1].purchase[0].pricePerMonth", "missing")]
    [InlineData("\"name\": \"B\"", """{ "kind": "term", "pricePerMonth": 90, "months": 0, "currency": "EUR" }""", "machines[1].purchase[0].months", "from 1")]
    [InlineData("\"name\": \"B\"", """{ "kind": "term", "pricePerMonth": 90, "months": 12, "currency": "EUR", "pricePerHour": 1 }""", "machines[1].purchase[0].pricePerHour", "does not belong to the kind \"term\"")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "pricePerHour": 1, "currency": "EUR", "checkpointSeconds": 9 }""", "machines[1].purchase[0].checkpointSeconds", "does not belong to the kind \"metered\"")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "pricePerHour": 1, "currency": "EUR", "alwaysOn": "yes" }""", "machines[1].purchase[0].alwaysOn", "true or false")]
    [InlineData("\"name\": \"B\"", """{ "kind": "interruptible", "pricePerHour": 1, "restartSeconds": 60, "currency": "EUR" }""", "machines[1].purchase[0].interruptionsPerHour", "missing")]
    [InlineData("\"name\": \"B\"", """{ "kind": "interruptible", "pricePerHour": 1, "interruptionsPerHour": 1, "currency": "EUR" }""", "machines[1].purchase[0].restartSeconds", "missing")]
    [InlineData("\"name\": \"B\"", """{ "kind": "interruptible", "pricePerHour": 1, "interruptionsPerHour": 1, "restartSeconds": 60, "checkpointSeconds": 0, "currency": "EUR" }""", "machines[1].purchase[0].checkpointSeconds", "from 1e-6")]
    [InlineData("\"name\": \"B\"", """{ "kind": "owned", "purchasePrice": 9000, "currency": "EUR" }""", "machines[1].purchase[0].lifetimeMonths", "missing")]
    [InlineData("\"name\": \"B\"", """{ "kind": "owned", "purchasePrice": 9000, "lifetimeMonths": 48, "hoursPerMonth": 800, "currency": "EUR" }""", "machines[1].purchase[0].hoursPerMonth", "to 744")]
    [InlineData("\"name\": \"B\"", """{ "kind": "owned", "purchasePrice": 1e30, "lifetimeMonths": 48, "currency": "EUR" }""", "machines[1].purchase[0].purchasePrice", "to 1,000,000,000")]
    [InlineData("\"name\": \"B\"", """{ "kind": "metered", "pricePerHour": 1, "currency": "EUR", "licencePerCoreMonth": -2 }""", "machines[1].purchase[0].licencePerCoreMonth", "from 0")]
    public async Task Machine_ThatIsImpossible_IsPointedAt(string fields, string purchase, string path, string message)
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity,
            $$"""
            { "job": { "timings": {{ForecastCalls.TwoTimings}} },
              "machines": [ {{ForecastCalls.OneMachine}}, { {{fields}}, "hardwareThreads": 2, "physicalCores": 2, "memoryGiB": 8, "purchase": [ {{purchase}} ] } ] }
            """));

        Assert.Equal(path, error.Path);
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("""{ "from": "USD", "to": "EUR", "rate": 0, "takenOn": "2026-11-03" }""", "rates[0].rate", "from 1e-6")]
    [InlineData("""{ "from": "usd", "to": "EUR", "rate": 1, "takenOn": "2026-11-03" }""", "rates[0].from", "ISO 4217")]
    [InlineData("""{ "from": "EUR", "to": "EUR", "rate": 1, "takenOn": "2026-11-03" }""", "rates[0].to", "two currencies")]
    [InlineData("""{ "from": "USD", "to": "EUR", "rate": 1, "takenOn": "2026-02-30" }""", "rates[0].takenOn", "There is no day 2026-02-30")]
    [InlineData("""{ "from": "USD", "to": "EUR", "rate": 1, "takenOn": "yesterday" }""", "rates[0].takenOn", "such as 2026-11-03")]
    [InlineData("""{ "from": "USD", "to": "EUR", "rate": 1 }""", "rates[0].takenOn", "missing")]
    public async Task Rate_ThatIsImpossible_IsPointedAt(string rate, string path, string message)
    {
        Refusal error = Assert.Single(await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}} }, "rates": [ {{rate}} ] }"""));

        Assert.Equal(path, error.Path);
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Errors_AreAllListedAtOnce()
    {
        Refusal[] errors = await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity,
            """
            { "job": { "timings": [ { "cores": "8", "seconds": -1 }, { "cores": 4, "seconds": 3 } ], "window": { "seconds": 0 },
                "workAndSpan": { "workSeconds": 1, "spanSeconds": 2, "tasks": 3 }, "timingsText": "nothing here" },
              "cores": [ 0 ], "band": 2, "colour": "red",
              "machines": [ { "name": "A" }, { "name": "a", "hardwareThreads": 1, "physicalCores": 1, "memoryGiB": 1, "purchase": [ { "kind": "term", "currency": "euro" } ] } ] }
            """);

        Assert.Equal(
            [
                "job.timings[0].cores", "job.timings[0].seconds", "job.window.seconds", "cores[0]", "band",
                "machines[0].hardwareThreads", "machines[0].physicalCores", "machines[0].memoryGiB", "machines[0].purchase",
                "machines[1].purchase[0].currency", "job.timingsText", "job.workAndSpan.spanSeconds", "machines[1].name",
                "machines[1].purchase[0].pricePerMonth", "machines[1].purchase[0].months",
                "colour",
            ],
            errors.Select(error => error.Path));
    }

    [Fact]
    public async Task Errors_ByTheThousand_EndTheSearch()
    {
        string rows = string.Join(",", Enumerable.Repeat("""{"cores":0,"seconds":0}""", 50_000));

        Refusal[] errors = await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": [{{rows}}] } }""");

        Assert.Equal(1_000, errors.Length);
        Assert.Equal("job.timings[499].seconds", errors[^1].Path);
    }

    [Theory]
    [InlineData("cores", 1_001, "1", "cores")]
    [InlineData("machines", 2_001, ForecastCalls.OneMachine, "machines")]
    public async Task List_BeyondItsLimit_IsRefusedWithItsLength(string field, int count, string item, string path)
    {
        string items = string.Join(",", Enumerable.Repeat(item, count));

        Refusal[] errors = await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": {{ForecastCalls.TwoTimings}} }, "{{field}}": [{{items}}] }""");

        Assert.Equal(path, errors[0].Path);
        Assert.StartsWith(FormattableString.Invariant($"It holds {count:#,0} items; "), errors[0].Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Timings_BeyondTheirLimit_AreRefusedAndAtItAnswered()
    {
        string atLimit = string.Join(",", Enumerable.Range(0, 100_000).Select(index => $$"""{"cores":{{1 + index % 8}},"seconds":{{8 - index % 8}}}"""));

        using HttpResponseMessage response = await _client.PostAsync(
            ForecastCalls.Address, ForecastCalls.Json($$"""{ "job": { "timings": [{{atLimit}}] }, "cores": [ 8 ], "machines": [] }"""), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);

        Refusal[] errors = await _client.RefusedAsync(
            HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": [{{atLimit}}, {"cores":9,"seconds":1}] }, "machines": [] }""");
        Assert.Equal(("job.timings", "It holds 100,001 items; 100,000 are the most."), (errors[0].Path, errors[0].Message));

        string distinct = string.Join(",", Enumerable.Range(1, 1_001).Select(cores => $$"""{"cores":{{cores}},"seconds":1}"""));
        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, $$"""{ "job": { "timings": [{{distinct}}] }, "machines": [] }"""));
        Assert.StartsWith("The timings are on 1,001 different core counts", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Refusal_OfTheSameRequest_HasTheSameBytes() =>
        Assert.Equal(await _client.BytesAsync("{}"), await _client.BytesAsync("{}"));

    [Fact]
    public async Task Name_OfAField_IsRepeatedInShort()
    {
        string name = new('x', 10_000);

        Refusal[] errors = await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, $$"""{ "{{name}}": 1 }""");

        Assert.Equal(["job", new string('x', 60) + "…"], errors.Select(error => error.Path));
    }

    [Theory]
    [InlineData("text/plain")]
    [InlineData("application/x-www-form-urlencoded")]
    [InlineData("application/json; charset=utf-16")]
    public async Task Body_NotSentAsJson_IsRefusedWithTheHeaderItNeeds(string contentType)
    {
        using var body = new ByteArrayContent(Encoding.UTF8.GetBytes(ForecastCalls.Demo));
        body.Headers.TryAddWithoutValidation("Content-Type", contentType);

        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.UnsupportedMediaType, body));

        Assert.Contains("Content-Type: application/json", error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("GET")]
    [InlineData("PUT")]
    [InlineData("DELETE")]
    public async Task OtherMethods_AreRefusedWithTheOneAllowed(string method)
    {
        using var request = new HttpRequestMessage(new HttpMethod(method), ForecastCalls.Address);
        using HttpResponseMessage response = await _client.SendAsync(request, TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.MethodNotAllowed, response.StatusCode);
        Assert.Equal(["POST"], response.Content.Headers.Allow);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
    }
}
