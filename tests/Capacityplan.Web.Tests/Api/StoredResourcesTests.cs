using System.Net;
using System.Text.Json;
using System.Text.Json.Nodes;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

/// <summary>Catalogues and plans over HTTP. Preconditions are those of RFC 9110, sections 13.1.1 and 13.1.2; 428 is that of RFC 6585, section 3.</summary>
public sealed class StoredResourcesTests(Site site) : IClassFixture<Site>
{
    private const string Birds =
        """
        { "name": "Birds", "pricesOf": "2026-11-03", "pricesAreInvented": true,
          "machines": [
            { "name": "Heron-16", "hardwareThreads": 16, "physicalCores": 8, "memoryGiB": 64, "startUpSeconds": 45,
              "purchase": [
                { "kind": "metered", "pricePerHour": 1.50, "currency": "EUR", "minimumSeconds": 60 },
                { "kind": "metered", "pricePerHour": 1.20, "currency": "EUR", "alwaysOn": true },
                { "kind": "term", "pricePerMonth": 480, "upfront": 100, "months": 12, "currency": "CHF", "licencePerCoreMonth": 2.5 },
                { "kind": "interruptible", "pricePerHour": 0.60, "interruptionsPerHour": 0.05, "restartSeconds": 120, "checkpointSeconds": 10, "currency": "EUR" },
                { "kind": "owned", "purchasePrice": 9800, "lifetimeMonths": 48, "watts": 350, "pricePerKilowattHour": 0.24, "overheadFactor": 1.4, "currency": "EUR" } ] } ],
          "rates": [ { "from": "CHF", "to": "EUR", "rate": 1.07, "takenOn": "2026-11-02" } ] }
        """;

    private const string Tiles = """{ "name": "night tiles", "owner": "Mara", "timingsText": "cores seconds\n1 812\n8 140" }""";

    public static TheoryData<string, string, string> Resources => new()
    {
        { "catalogues", Birds, "\"name\": \"Birds\"" },
        { "plans", Tiles, "\"name\": \"night tiles\"" },
    };

    [Theory]
    [MemberData(nameof(Resources))]
    public async Task Resource_PutGotChangedAndDeleted_FollowsItsTag(string kind, string body, string name)
    {
        string address = $"/api/v1/{kind}/{Guid.NewGuid()}";
        using HttpResponseMessage created = await site.SendAsync(HttpMethod.Put, address, body, ifNoneMatch: "*");
        Assert.Equal((HttpStatusCode.Created, address), (created.StatusCode, created.Headers.Location?.ToString()));

        using HttpResponseMessage got = await site.SendAsync(HttpMethod.Get, address);
        string text = await ResourceCalls.TextAsync(got);
        Assert.Equal(created.Headers.ETag, got.Headers.ETag);
        using HttpResponseMessage same = await site.SendAsync(HttpMethod.Get, address, ifNoneMatch: got.Headers.ETag!.Tag);
        Assert.Equal(HttpStatusCode.NotModified, same.StatusCode);

        // What was got can be put as it is, and comes to the same.
        using HttpResponseMessage put = await site.SendAsync(HttpMethod.Put, address, text, ifMatch: got.Headers.ETag.Tag);
        Assert.Equal(HttpStatusCode.OK, put.StatusCode);
        Assert.Empty(JsonDocument.Parse(await ResourceCalls.TextAsync(put)).RootElement.GetProperty("problems").EnumerateArray());
        using HttpResponseMessage again = await site.SendAsync(HttpMethod.Get, address);
        Assert.Equal(text, await ResourceCalls.TextAsync(again));
        Assert.NotEqual(got.Headers.ETag, again.Headers.ETag);

        using HttpResponseMessage changed = await site.SendAsync(HttpMethod.Put, address, body.Replace(name, "\"name\": \"other\"", StringComparison.Ordinal), ifMatch: "*");
        Assert.Equal(HttpStatusCode.OK, changed.StatusCode);
        JsonElement list = JsonDocument.Parse(await ResourceCalls.TextAsync(await site.SendAsync(HttpMethod.Get, $"/api/v1/{kind}?limit=200"))).RootElement;
        JsonElement entry = list.GetProperty("items").EnumerateArray().Single(item => address.EndsWith(item.GetProperty("id").GetString()!, StringComparison.Ordinal));
        Assert.Equal(("other", changed.Headers.ETag!.Tag), (entry.GetProperty("name").GetString(), entry.GetProperty("etag").GetString()));

        using HttpResponseMessage stale = await site.SendAsync(HttpMethod.Delete, address, ifMatch: got.Headers.ETag.Tag);
        Assert.Equal((HttpStatusCode.PreconditionFailed, changed.Headers.ETag), (stale.StatusCode, stale.Headers.ETag));
        using HttpResponseMessage deleted = await site.SendAsync(HttpMethod.Delete, address, ifMatch: changed.Headers.ETag.Tag);
        Assert.Equal(HttpStatusCode.NoContent, deleted.StatusCode);
        using HttpResponseMessage gone = await site.SendAsync(HttpMethod.Get, address);
        Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
        using HttpResponseMessage kept = await site.SendAsync(HttpMethod.Put, address, body, ifNoneMatch: "*");
        Assert.Equal(HttpStatusCode.Conflict, kept.StatusCode);
    }

    [Theory]
    [MemberData(nameof(Resources))]
    public async Task Put_BySeveralWhoSawTheSame_SavesOneAndTellsTheOthers(string kind, string body, string name)
    {
        string address = $"/api/v1/{kind}/{Guid.NewGuid()}";
        using HttpResponseMessage created = await site.SendAsync(HttpMethod.Put, address, body, ifNoneMatch: "*");
        string tag = created.Headers.ETag!.Tag;

        HttpResponseMessage[] answers = await Task.WhenAll(Enumerable.Range(0, 8).Select(
            one => site.SendAsync(HttpMethod.Put, address, body.Replace(name, $"\"name\": \"number {one}\"", StringComparison.Ordinal), ifMatch: tag)));

        Assert.Equal(
            [HttpStatusCode.OK, .. Enumerable.Repeat(HttpStatusCode.PreconditionFailed, 7)],
            answers.Select(answer => answer.StatusCode).Order());
        int winner = Array.FindIndex(answers, answer => answer.StatusCode == HttpStatusCode.OK);
        Assert.Contains($"number {winner}", await ResourceCalls.TextAsync(await site.SendAsync(HttpMethod.Get, address)), StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(Resources))]
    public async Task Create_BySeveralUnderOneKey_MakesOne(string kind, string body, string name)
    {
        Assert.Contains(name, body, StringComparison.Ordinal);
        string address = $"/api/v1/{kind}/{Guid.NewGuid()}";

        HttpResponseMessage[] answers = await Task.WhenAll(Enumerable.Range(0, 6).Select(_ => site.SendAsync(HttpMethod.Put, address, body, ifNoneMatch: "*")));

        Assert.Equal([HttpStatusCode.Created, .. Enumerable.Repeat(HttpStatusCode.PreconditionFailed, 5)], answers.Select(answer => answer.StatusCode).Order());
    }

    [Theory]
    [MemberData(nameof(Resources))]
    public async Task Change_WithoutAPrecondition_IsRefused(string kind, string body, string name)
    {
        Assert.Contains(name, body, StringComparison.Ordinal);
        string address = $"/api/v1/{kind}/{Guid.NewGuid()}";

        using HttpResponseMessage put = await site.SendAsync(HttpMethod.Put, address, body);
        using HttpResponseMessage deleted = await site.SendAsync(HttpMethod.Delete, address);
        using HttpResponseMessage nothing = await site.SendAsync(HttpMethod.Put, address, body, ifMatch: "\"1\"");

        Assert.Equal(
            ((HttpStatusCode)428, (HttpStatusCode)428, HttpStatusCode.PreconditionFailed), (put.StatusCode, deleted.StatusCode, nothing.StatusCode));
        Assert.Contains("If-Match", await ResourceCalls.MessageAsync(put), StringComparison.Ordinal);
        Assert.Equal("application/problem+json", put.Content.Headers.ContentType?.MediaType);
    }

    [Fact]
    public async Task Catalogue_WithErrors_NamesEach()
    {
        string body = Birds.Replace("\"months\": 12", "\"months\": 0", StringComparison.Ordinal).Replace("\"memoryGiB\": 64", "\"memoryGiB\": -1", StringComparison.Ordinal).Replace("2026-11-03", "2026-13-03", StringComparison.Ordinal);

        using HttpResponseMessage answer = await site.SendAsync(HttpMethod.Put, $"/api/v1/catalogues/{Guid.NewGuid()}", body, ifNoneMatch: "*");

        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.StatusCode);
        Assert.Equal(
            ["machines[0].memoryGiB", "machines[0].purchase[2].months", "pricesOf"],
            JsonNode.Parse(await ResourceCalls.TextAsync(answer))!["errors"]!.AsArray().Select(error => (string?)error!["path"]).Order());
    }

    [Theory]
    [InlineData("{ \"name\": \"a\",\n  \"colour\": \"red\" }", 422, "colour", 2)]
    [InlineData("{ \"name\": \"a\",\n  \"owner\": 7 }", 422, "owner", 2)]
    [InlineData("{ \"name\": \"a\",\n  ,}", 400, null, 2)]
    [InlineData("{ \"phases\": [ null ] }", 422, null, null)]
    [InlineData("null", 422, null, null)]
    public async Task Plan_ThatIsNone_SaysWhere(string body, int status, string? path, int? line)
    {
        using HttpResponseMessage answer = await site.SendAsync(HttpMethod.Put, $"/api/v1/plans/{Guid.NewGuid()}", body, ifNoneMatch: "*");

        JsonNode error = JsonNode.Parse(await ResourceCalls.TextAsync(answer))!["errors"]![0]!;
        Assert.Equal((status, line), ((int)answer.StatusCode, (int?)error["line"]));
        if (path is not null)
            Assert.Equal(path, (string?)error["path"]);
    }

    [Fact]
    public async Task List_InParts_GivesEachOnce()
    {
        for (int made = 0; made < 3; made++)
            (await site.SendAsync(HttpMethod.Put, $"/api/v1/plans/{Guid.NewGuid()}", Tiles.Replace("Mara", "Paging", StringComparison.Ordinal), ifNoneMatch: "*")).Dispose();

        var seen = new List<string?>();
        for (int offset = 0; offset < 4; offset += 2)
        {
            JsonNode page = JsonNode.Parse(await ResourceCalls.TextAsync(await site.SendAsync(HttpMethod.Get, $"/api/v1/plans?find=paging&limit=2&offset={offset}")))!;
            Assert.Equal((3, offset), ((int)page["total"]!, (int)page["offset"]!));
            seen.AddRange(page["items"]!.AsArray().Select(item => (string?)item!["id"]));
        }

        Assert.Equal(3, seen.Distinct().Count());
        using HttpResponseMessage tooMany = await site.SendAsync(HttpMethod.Get, "/api/v1/plans?limit=1000");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, tooMany.StatusCode);
    }
}
