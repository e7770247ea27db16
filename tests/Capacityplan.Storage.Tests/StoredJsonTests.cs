using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Storage.Tests;

public sealed class StoredJsonTests
{
    [Fact]
    public void Write_ADraft_KeepsLettersLegibleAndEscapesMarkup()
    {
        string json = StoredJson.Write(new PlanDraft { Name = "Überlauf <b> 日本" });

        Assert.Contains("Überlauf \\u003Cb\\u003E 日本", json, StringComparison.Ordinal);
        Assert.Contains("\"startsAt\":", json, StringComparison.Ordinal);
    }

    [Fact]
    public void Write_HalfOfASurrogatePair_IsReplacedAndTheRestKept()
    {
        Assert.True(StoredJson.TryRead(StoredJson.Write(new PlanDraft { TimingsText = "8\t1 h\ud83d end" }), out PlanDraft? draft, out _));

        Assert.Equal("8\t1 h\ufffd end", draft.TimingsText);
    }

    [Fact]
    public void Read_ADraftOfAnEarlierVersion_FillsNewFieldsWithTheirDefaults()
    {
        Assert.True(StoredJson.TryRead("{ \"name\": \"Night tiles\" }", out PlanDraft? draft, out _));

        Assert.Equal(new PlanDraft { Name = "Night tiles" }, draft);
    }

    [Fact]
    public void Write_APhase_NamesItsDistributionAndNoPhaseIsAnEmptyList()
    {
        string json = StoredJson.Write(new PlanDraft { Phases = [new PhaseDraft { Name = "grid", Sizes = UnitDistribution.BoundedPareto }] });

        Assert.Contains("\"sizes\":\"boundedPareto\"", json, StringComparison.Ordinal);
        Assert.Contains("\"phases\":[]", StoredJson.Write(new PlanDraft()), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("{ \"phases\": [ { \"name\": \"grid\", \"unit\": \"1\" } ] }")]
    [InlineData("{ \"phases\": [ { \"sizes\": \"binomial\" } ] }")]
    [InlineData("{ \"phases\": [ null ] }")]
    public void Read_APhaseALaterSaveWouldLose_IsRefused(string json)
    {
        Assert.False(StoredJson.TryRead(json, out PlanDraft? _, out Unreadable? unreadable));

        Assert.Equal(json, unreadable.Text);
    }

    [Fact]
    public void Read_ACatalogueWithTheKindAfterTheFigures_IsUnderstood()
    {
        const string Json = """
            { "name": "Birds", "machines": [ { "name": "Wren", "hardwareThreads": 1, "physicalCores": 1, "memoryGiB": 1,
              "purchase": [ { "currency": "EUR", "pricePerHour": 1.50, "kind": "metered" } ] } ] }
            """;

        Assert.True(StoredJson.TryRead(Json, out Catalogue? catalogue, out _));

        Assert.Equal(new MeteredPurchase { Currency = "EUR", PricePerHour = 1.50m }, Assert.Single(Assert.Single(catalogue.Machines).Purchase));
    }

    [Theory]
    [InlineData("{ \"name\": \"a\", \"name\": \"b\" }")]
    [InlineData("{ \"Name\": \"a\" }")]
    [InlineData("{ \"endsNextDay\": \"true\" }")]
    public void Read_WhatALaterSaveWouldLose_IsRefused(string json)
    {
        Assert.False(StoredJson.TryRead(json, out PlanDraft? _, out Unreadable? unreadable));

        Assert.Equal(json, unreadable.Text);
    }
}
