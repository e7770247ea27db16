using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage.Tests;

public sealed class CatalogueStoreTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Create_ACatalogue_IsReadBackByAnotherProcess()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        Catalogue catalogue = Samples.TwoMachines();

        StoredCatalogue created = await store.Open().Catalogues.CreateAsync(catalogue, Cancel);
        StoredCatalogue? found = await store.Open().Catalogues.FindAsync(created.Id, Cancel);

        Samples.AssertSame(catalogue, created.Catalogue);
        Samples.AssertSame(catalogue, found?.Catalogue);
        Assert.Equal((1, store.Clock.Now, true), (found?.Version, found?.UpdatedAt, found?.IsReadable));
    }

    [Fact]
    public async Task List_SeveralCatalogues_SortsThemByNameWithOneDefault()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        Assert.Null(await catalogues.GetDefaultAsync(Cancel));
        foreach (string name in (string[])["b", "C", "a"])
            await catalogues.CreateAsync(Samples.TwoMachines(name), Cancel);

        Assert.Equal([("a", true), ("b", false), ("C", false)], (await catalogues.ListAsync(Cancel)).Select(one => (one.Name, one.IsDefault)));
    }

    [Fact]
    public async Task MakeDefault_AnotherCatalogue_IsTheOnlyDefaultUntilItIsDeleted()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        await catalogues.CreateAsync(Samples.TwoMachines("a"), Cancel);
        StoredCatalogue b = await catalogues.CreateAsync(Samples.TwoMachines("b"), Cancel);
        StoredCatalogue c = await catalogues.CreateAsync(Samples.TwoMachines("c"), Cancel);

        Assert.True(await catalogues.MakeDefaultAsync(c.Id, Cancel));
        Assert.True(await catalogues.MakeDefaultAsync(b.Id, Cancel));
        Assert.Equal(["b"], (await store.Open().Catalogues.ListAsync(Cancel)).Where(one => one.IsDefault).Select(one => one.Name));
        Assert.Equal(b.Id, (await catalogues.GetDefaultAsync(Cancel))?.Id);

        Assert.True(await catalogues.DeleteAsync(b.Id, Cancel));
        Assert.Equal("a", (await catalogues.GetDefaultAsync(Cancel))?.Name);
        Assert.False(await catalogues.MakeDefaultAsync(b.Id, Cancel));
        Assert.True(await catalogues.RestoreAsync(b.Id, Cancel));
        Assert.Equal("b", (await catalogues.GetDefaultAsync(Cancel))?.Name);
        Assert.False(await catalogues.MakeDefaultAsync(Guid.NewGuid(), Cancel));
        Assert.Equal("b", (await catalogues.GetDefaultAsync(Cancel))?.Name);
    }

    [Fact]
    public async Task Save_OverTheVersionItStartedFrom_RaisesTheVersion()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        StoredCatalogue created = await catalogues.CreateAsync(Samples.TwoMachines("before"), Cancel);
        store.Clock.Now += TimeSpan.FromDays(1);
        Catalogue changed = Samples.TwoMachines("after") with { PricesOf = null, PricesAreInvented = false };

        SaveResult<StoredCatalogue> result = await catalogues.SaveAsync(created.Id, changed, created.Version, Cancel);
        StoredCatalogue? found = await catalogues.FindAsync(created.Id, Cancel);

        Assert.Equal(SaveState.Saved, result.State);
        Samples.AssertSame(changed, result.Current?.Catalogue);
        Samples.AssertSame(changed, found?.Catalogue);
        Assert.Equal(("after", 2, store.Clock.Now, true), (found?.Name, found?.Version, found?.UpdatedAt, found?.IsDefault));
        Assert.Equal(found! with { Catalogue = null }, result.Current! with { Catalogue = null });
    }

    [Fact]
    public async Task Save_OverALaterVersionOrADeletedOne_ChangesNothing()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        StoredCatalogue created = await catalogues.CreateAsync(Samples.TwoMachines("base"), Cancel);
        await store.Open().Catalogues.SaveAsync(created.Id, Samples.TwoMachines("theirs"), 1, Cancel);

        SaveResult<StoredCatalogue> result = await catalogues.SaveAsync(created.Id, Samples.TwoMachines("mine"), 1, Cancel);

        Assert.Equal((SaveState.Conflict, "theirs", 2), (result.State, result.Current?.Name, result.Current?.Version));
        await catalogues.DeleteAsync(created.Id, Cancel);
        Assert.Equal(
            new SaveResult<StoredCatalogue>(SaveState.Gone, null),
            await catalogues.SaveAsync(created.Id, Samples.TwoMachines("mine"), 2, Cancel));
    }

    [Fact]
    public async Task Save_WithADraft_KeepsItUntilACatalogueSaysItAll()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        Catalogue catalogue = Samples.TwoMachines();
        StoredCatalogue created = await catalogues.CreateAsync(catalogue, Cancel);
        CatalogueDraft draft = CatalogueDraft.Of(catalogue);
        draft = draft with { Machines = [draft.Machines[0] with { PricePerHour = "0.2o" }, draft.Machines[1], new MachineDraft { Name = "half" }] };

        SaveResult<StoredCatalogue> saved = await catalogues.SaveAsync(created.Id, catalogue, draft, created.Version, Cancel);
        StoredCatalogue? found = await store.Open().Catalogues.FindAsync(created.Id, Cancel);

        Assert.Equal(SaveState.Saved, saved.State);
        foreach (CatalogueDraft? kept in (CatalogueDraft?[])[saved.Current?.Draft, found?.Draft])
        {
            Assert.Equal(["0.2o", "0.75", ""], kept?.Machines.Select(row => row.PricePerHour));
            Assert.Equal(["Wren-2", "Heron-8", null], kept?.Machines.Select(row => row.Kept?.Name));
            Assert.Equal(2, kept?.Machines[0].Kept?.Purchase.Length);
        }

        Samples.AssertSame(catalogue, found?.Catalogue);
        saved = await catalogues.SaveAsync(created.Id, catalogue, saved.Current!.Version, Cancel);
        Assert.Null(saved.Current?.Draft);
        Assert.Null((await catalogues.FindAsync(created.Id, Cancel))?.Draft);
    }

    [Fact]
    public async Task List_ADraftThatCannotBeRead_GivesTheCatalogueAndTheDraftsText()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredCatalogue created = await opened.Catalogues.CreateAsync(Samples.TwoMachines(), Cancel);
        await using (StorageContext context = await opened.Contexts.CreateDbContextAsync(Cancel))
            await context.Catalogues.ExecuteUpdateAsync(set => set.SetProperty(row => row.Draft, "{ \"colour\": 1 }"), Cancel);

        StoredCatalogue? found = await opened.Catalogues.FindAsync(created.Id, Cancel);

        Samples.AssertSame(Samples.TwoMachines(), found?.Catalogue);
        Assert.Null(found?.Draft);
        Assert.Equal("{ \"colour\": 1 }", found?.Unreadable?.Text);
    }

    [Fact]
    public async Task Save_ManyAtOnceOverOneVersion_LetsExactlyOneThrough()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        StoredCatalogue created = await store.Open().Catalogues.CreateAsync(Samples.TwoMachines("base"), Cancel);

        SaveResult<StoredCatalogue>[] results = await Task.WhenAll(Enumerable.Range(0, 12).Select(saver => Task.Run(
            () => store.Open().Catalogues.SaveAsync(created.Id, Samples.TwoMachines($"saver {saver}"), 1, Cancel), Cancel)));

        Assert.Single(results, result => result.State == SaveState.Saved);
        Assert.Equal(2, (await store.Open().Catalogues.FindAsync(created.Id, Cancel))?.Version);
    }

    [Fact]
    public async Task Delete_LongAgo_CannotBePutBack()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredCatalogue created = await opened.Catalogues.CreateAsync(Samples.TwoMachines(), Cancel);
        Assert.True(await opened.Catalogues.DeleteAsync(created.Id, Cancel));
        Assert.False(await opened.Catalogues.DeleteAsync(created.Id, Cancel));
        Assert.Empty(await opened.Catalogues.ListAsync(Cancel));
        Assert.True(await opened.Catalogues.RestoreAsync(created.Id, Cancel));
        await opened.Catalogues.DeleteAsync(created.Id, Cancel);

        store.Clock.Now += PlanStore.KeepDeletedFor + TimeSpan.FromTicks(1);
        await store.Open().PrepareAsync();

        Assert.False(await opened.Catalogues.RestoreAsync(created.Id, Cancel));
    }

    [Theory]
    [InlineData("{ \"name\": \"Birds\"")]
    [InlineData("{ \"name\": \"Birds\" }")]
    [InlineData("{ \"name\": \" \", \"machines\": [] }")]
    [InlineData("{ \"name\": \"Birds\", \"machines\": null }")]
    [InlineData("""
        { "name": "Birds", "machines": [ { "name": "Wren", "hardwareThreads": 0, "physicalCores": 1, "memoryGiB": 1,
          "purchase": [ { "kind": "metered", "currency": "EUR", "pricePerHour": 1 } ] } ] }
        """)]
    [InlineData("""
        { "name": "Birds", "machines": [ { "name": "Wren", "hardwareThreads": 1, "physicalCores": 1, "memoryGiB": 1,
          "purchase": [ { "kind": "bartered", "currency": "EUR" } ] } ] }
        """)]
    [InlineData("""
        { "name": "Birds", "machines": [ { "name": "Wren", "hardwareThreads": 1, "physicalCores": 1, "memoryGiB": 1,
          "purchase": [ { "currency": "EUR", "pricePerHour": 1 } ] } ] }
        """)]
    public async Task List_ARowThatCannotBeRead_IsReportedWithItsTextBesideTheOthers(string text)
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredCatalogue damaged = await opened.Catalogues.CreateAsync(Samples.TwoMachines("a"), Cancel);
        await opened.Catalogues.CreateAsync(Samples.TwoMachines("b"), Cancel);
        await using (StorageContext context = await opened.Contexts.CreateDbContextAsync(Cancel))
        {
            await context.Catalogues.Where(row => row.Id == damaged.Id)
                .ExecuteUpdateAsync(set => set.SetProperty(row => row.Document, text), Cancel);
        }

        ImmutableArray<StoredCatalogue> listed = await opened.Catalogues.ListAsync(Cancel);

        Assert.Equal([("a", false), ("b", true)], listed.Select(one => (one.Name, one.IsReadable)));
        Assert.Equal(text, listed[0].Unreadable?.Text);
        Assert.False(string.IsNullOrWhiteSpace(listed[0].Unreadable?.Why));
    }
}
