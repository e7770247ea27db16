using System.Net;
using System.Text.Json.Nodes;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Tests.Serving;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Api;

/// <summary>What a person typed on a page and is not understood yet, when a program puts something in its place.</summary>
public sealed class TypedTextTests(Site site) : IClassFixture<Site>
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private PlanStore Plans => site.Services.GetRequiredService<PlanStore>();

    private CatalogueStore Catalogues => site.Services.GetRequiredService<CatalogueStore>();

    [Fact]
    public async Task PutPlan_WithoutAFieldThatIsNotUnderstoodYet_IsRefusedAndNamesIt()
    {
        StoredPlan plan = await Plans.CreateAsync(new PlanDraft { Name = "tiles", DoneBy = "at dawn", Runs = "every night" }, null, Cancel);

        using HttpResponseMessage refused = await PutAsync(plan, """{ "name": "tiles" }""");

        Assert.Equal((HttpStatusCode.Conflict, "\"1\""), (refused.StatusCode, refused.Headers.ETag?.Tag));
        JsonNode error = Assert.Single((await ResourceCalls.JsonAsync(refused))["errors"]!.AsArray())!;
        Assert.Equal("doneBy", (string?)error["path"]);
        Assert.Contains("at dawn", (string?)error["message"], StringComparison.Ordinal);
        Assert.Equal("at dawn", (await Plans.FindAsync(plan.Id, Cancel))?.Draft?.DoneBy);
    }

    [Theory]
    [InlineData("""{ "doneBy": "" }""", "")]
    [InlineData("""{ "doneBy": "06:00" }""", "06:00")]
    [InlineData("""{ "doneBy": "at dawn", "name": "lights" }""", "at dawn")]
    [InlineData("""{ "doneBy": "before noon" }""", "before noon")]
    public async Task PutPlan_WithTheFieldThatIsNotUnderstoodYet_SavesWhatItSays(string body, string doneBy)
    {
        StoredPlan plan = await Plans.CreateAsync(new PlanDraft { DoneBy = "at dawn" }, null, Cancel);

        using HttpResponseMessage saved = await PutAsync(plan, body);

        Assert.Equal(HttpStatusCode.OK, saved.StatusCode);
        Assert.Equal(doneBy, (await Plans.FindAsync(plan.Id, Cancel))?.Draft?.DoneBy);
    }

    [Fact]
    public async Task PutPlan_OfWhateverVersion_ReplacesWhatIsUnderstoodOnly()
    {
        StoredPlan plan = await Plans.CreateAsync(new PlanDraft { Name = "tiles", TimingsText = "1 812\neight: 140 or so" }, null, Cancel);

        using HttpResponseMessage unseen = await PutAsync(plan, """{ "timingsText": "1 812" }""", ifMatch: "*");
        using HttpResponseMessage kept = await PutAsync(plan, """{ "name": "other", "timingsText": "1 812\neight: 140 or so" }""", ifMatch: "*");

        Assert.Equal(HttpStatusCode.PreconditionFailed, unseen.StatusCode);
        Assert.Contains("timingsText", await ResourceCalls.MessageAsync(unseen), StringComparison.Ordinal);
        Assert.Contains("If-Match", await ResourceCalls.MessageAsync(unseen), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, kept.StatusCode);
        Assert.Equal("other", (await Plans.FindAsync(plan.Id, Cancel))?.Name);
    }

    [Fact]
    public async Task PutPlan_OverABlankThatIsMissing_IsSaved()
    {
        // Speedups without a base time: the blank that is missing was not typed, and nothing of it can be lost.
        StoredPlan plan = await Plans.CreateAsync(new PlanDraft { WhatIfCores = "" }, null, Cancel);

        using HttpResponseMessage saved = await PutAsync(plan, """{ "name": "tiles" }""", ifMatch: "*");

        Assert.Equal(HttpStatusCode.OK, saved.StatusCode);
    }

    [Fact]
    public async Task PutCatalogue_OverTextNotUnderstoodYet_KeepsItAsACatalogueOfItsOwn()
    {
        StoredCatalogue created = await Catalogues.CreateAsync(new Catalogue { Name = "Birds", Machines = [] }, Cancel);
        CatalogueDraft typed = CatalogueDraft.Of(created.Catalogue!) with { Machines = [new MachineDraft { Name = "Wren-2", Memory = "plenty" }] };
        await Catalogues.SaveAsync(created.Id, created.Catalogue!, typed, 1, Cancel);
        string address = $"/api/v1/catalogues/{created.Id}";

        using HttpResponseMessage put = await site.SendAsync(HttpMethod.Put, address, """{ "name": "Birds", "machines": [] }""", ifMatch: "\"2\"");
        using HttpResponseMessage again = await site.SendAsync(HttpMethod.Put, address, """{ "name": "Birds", "machines": [] }""", ifMatch: "*");

        JsonNode problem = Assert.Single((await ResourceCalls.JsonAsync(put))["problems"]!.AsArray())!;
        Assert.Contains("“Birds, as typed”", (string?)problem["message"], StringComparison.Ordinal);
        Assert.Empty((await ResourceCalls.JsonAsync(again))["problems"]!.AsArray());
        StoredCatalogue kept = Assert.Single(await Catalogues.ListAsync(Cancel), one => one.Name.StartsWith("Birds, as typed", StringComparison.Ordinal));
        Assert.Equal(("Birds, as typed", "plenty", false), (kept.Draft?.Name, kept.Draft?.Machines[0].Memory, kept.IsDefault));
        StoredCatalogue? now = await Catalogues.FindAsync(created.Id, Cancel);
        Assert.Equal((4, null), (now?.Version, now?.Draft));
    }

    [Theory]
    [InlineData("plans", "Plans", "Draft", "{}")]
    [InlineData("catalogues", "Catalogues", "Document", """{ "name": "Birds", "machines": [] }""")]
    public async Task Put_OverWhatCannotBeRead_IsRefusedAndItsTextStays(string kind, string table, string column, string body)
    {
        Guid id = kind == "plans"
            ? (await Plans.CreateAsync(new PlanDraft { Name = "tiles" }, null, Cancel)).Id
            : (await Catalogues.CreateAsync(new Catalogue { Name = "Birds, damaged", Machines = [] }, Cancel)).Id;
        await DamageAsync(table, column, id);

        using HttpResponseMessage refused = await site.SendAsync(HttpMethod.Put, $"/api/v1/{kind}/{id}", body, ifMatch: "*");

        Assert.Equal(HttpStatusCode.Conflict, refused.StatusCode);
        Assert.Contains("Its text is kept", await ResourceCalls.MessageAsync(refused), StringComparison.Ordinal);
        Unreadable? text = kind == "plans" ? (await Plans.FindAsync(id, Cancel))?.Unreadable : (await Catalogues.FindAsync(id, Cancel))?.Unreadable;
        Assert.Equal("damaged", text?.Text);
    }

    [Fact]
    public async Task PutPlan_UnderANewKey_IsToldOf()
    {
        var told = new List<Guid>();
        Plans.Changed += told.Add;
        var id = Guid.NewGuid();

        using HttpResponseMessage created = await site.SendAsync(HttpMethod.Put, $"/api/v1/plans/{id}", """{ "name": "tiles\u0000", "graphFile": "a\u0000b" }""", ifNoneMatch: "*");

        Plans.Changed -= told.Add;
        Assert.Equal(HttpStatusCode.Created, created.StatusCode);
        Assert.Contains(id, told);
    }

    private Task<HttpResponseMessage> PutAsync(StoredPlan plan, string body, string? ifMatch = null) =>
        site.SendAsync(HttpMethod.Put, $"/api/v1/plans/{plan.Id}", body, ifMatch ?? $"\"{plan.Version}\"");

    private async Task DamageAsync(string table, string column, Guid id)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(site.DataDirectory, "capacityplan.db")};Pooling=False");
        await connection.OpenAsync(Cancel);
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = $"UPDATE {table} SET {column} = 'damaged' WHERE Id = $id";
        command.Parameters.AddWithValue("$id", id);
        Assert.Equal(1, await command.ExecuteNonQueryAsync(Cancel));
    }
}
