using System.Collections.Immutable;
using System.Reflection;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Storage.Tests;

/// <summary>
/// Texts that not every database takes. PostgreSQL refuses U+0000 (PostgreSQL documentation, "Character Types", 8.3: "The character with
/// code 0 is not allowed"), SQLite takes it.
/// </summary>
public sealed class StoredTextTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Create_APlanWhoseNameHasCharactersADatabaseRefuses_IsListedWithoutThem()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        var answer = new StoredAnswer(VerdictState.Misses, "late\0\ud83d");

        StoredPlan created = await store.Open().Plans.CreateAsync(
            new PlanDraft { Name = "tiles\0 \ud83d", Owner = "\udc00" }, answer, Cancel);
        StoredPlan? found = await store.Open().Plans.FindAsync(created.Id, Cancel);

        Assert.Equal("tiles\ufffd \ufffd", found?.Name);
        Assert.Equal("\ufffd", found?.Owner);
        Assert.Equal("late\ufffd\ufffd", found?.LastAnswer?.Sentence);
        Assert.Equal("tiles\0 \ufffd", found?.Draft?.Name);
    }

    /// <summary>SQLite would take U+0000, PostgreSQL does not: with either, no column holds it and nothing typed is lost.</summary>
    [Fact]
    public async Task Save_EveryFieldWithCharactersADatabaseRefuses_KeepsThemInTheDraftOnly()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        PlanDraft draft = Samples.EveryField();
        Assert.Contains('\0', draft.GraphFile);
        StoredPlan? chosen = await opened.Plans.TryCreateAsync(Guid.NewGuid(), draft, Cancel);
        StoredPlan created = await opened.Plans.CreateAsync(new PlanDraft(), null, Cancel);
        await opened.Plans.SaveAsync(created.Id, draft, 1, new StoredAnswer(VerdictState.Holds, "It holds."), Cancel);
        await opened.Plans.RecordAnswerAsync(created.Id, 2, new StoredAnswer(VerdictState.Misses, "\0"), Cancel);
        StoredPlan? copy = await opened.Plans.DuplicateAsync(created.Id, Cancel);
        StoredPlan? another = await opened.Plans.DuplicateAsync(created.Id, Cancel);

        ImmutableArray<StoredPlan> listed = await store.Open().Plans.ListAsync(draft.Name, Cancel);

        Assert.Equal(4, listed.Length);
        Assert.Equal([draft, draft], listed.Where(plan => plan.Id == created.Id || plan.Id == chosen?.Id).Select(plan => plan.Draft));
        Assert.Equal($"{draft.Name}, copy", copy?.Draft?.Name);
        Assert.Equal($"{draft.Name}, copy 2", another?.Draft?.Name);
        await using StorageContext context = await opened.Contexts.CreateDbContextAsync(Cancel);
        PropertyInfo[] texts = [.. typeof(PlanRow).GetProperties().Where(property => property.PropertyType == typeof(string))];
        Assert.All(
            await context.Plans.ToListAsync(Cancel),
            row => Assert.DoesNotContain(texts, text => ((string?)text.GetValue(row))?.Contains('\0', StringComparison.Ordinal) is true));
    }

    [Fact]
    public async Task Create_ACatalogueWhoseNameHasCharactersADatabaseRefuses_KeepsThemInTheCatalogue()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        Catalogue catalogue = Samples.TwoMachines("birds\0");
        StoredCatalogue? created = await catalogues.TryCreateAsync(Guid.NewGuid(), catalogue, Cancel);
        await catalogues.SaveAsync(created!.Id, catalogue, new CatalogueDraft { Name = "birds\0", KeptName = "birds\0", Machines = [] }, 1, Cancel);
        await catalogues.DuplicateAsync(created.Id, Cancel);
        await catalogues.DuplicateAsync(created.Id, Cancel);

        ImmutableArray<StoredCatalogue> listed = await store.Open().Catalogues.ListAsync(Cancel);

        Assert.Equal(["birds\ufffd", "birds\ufffd, copy", "birds\ufffd, copy 2"], listed.Select(stored => stored.Name));
        Assert.Equal(["birds\0", "birds\0, copy", "birds\0, copy 2"], listed.Select(stored => stored.Catalogue?.Name));
        Assert.Equal("birds\0", listed[0].Draft?.Name);
    }

    /// <summary>Two who replace one version: one of them keeps what was typed, the other changes nothing.</summary>
    [Fact]
    public async Task Replace_ACatalogueWithTextNotUnderstoodYet_KeepsItOnceBesideIt()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        CatalogueStore catalogues = store.Open().Catalogues;
        Catalogue catalogue = Samples.TwoMachines("birds");
        StoredCatalogue created = await catalogues.CreateAsync(catalogue, Cancel);
        await catalogues.SaveAsync(created.Id, catalogue, CatalogueDraft.Of(catalogue) with { PricesOf = "last week" }, 1, Cancel);

        (SaveResult<StoredCatalogue> Saved, string? KeptAs)[] replaced = await Task.WhenAll(Enumerable.Range(0, 4).Select(
            _ => Task.Run(() => catalogues.ReplaceAsync(created.Id, catalogue, 2, Cancel), Cancel)));

        Assert.Equal([SaveState.Saved, .. Enumerable.Repeat(SaveState.Conflict, 3)], replaced.Select(one => one.Saved.State).Order());
        Assert.Equal(["birds, as typed"], replaced.Select(one => one.KeptAs).OfType<string>());
        Assert.Equal(
            [("birds", ""), ("birds, as typed", "last week")],
            (await catalogues.ListAsync(Cancel)).Select(stored => (stored.Name, stored.Draft?.PricesOf ?? "")));
        Assert.Null((await catalogues.ReplaceAsync(created.Id, catalogue, 3, Cancel)).KeptAs);
    }

    /// <summary>What a later version of the program typed is kept as it is, though this one cannot read it.</summary>
    [Fact]
    public async Task Replace_ACatalogueWithTypedTextThatCannotBeRead_KeepsTheText()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredCatalogue created = await opened.Catalogues.CreateAsync(Samples.TwoMachines("birds"), Cancel);
        await using (StorageContext context = await opened.Contexts.CreateDbContextAsync(Cancel))
            await context.Catalogues.ExecuteUpdateAsync(set => set.SetProperty(row => row.Draft, "typed later"), Cancel);

        await opened.Catalogues.ReplaceAsync(created.Id, Samples.TwoMachines("birds"), 1, Cancel);

        Assert.Equal(
            [("birds", null), ("birds, as typed", "typed later")],
            (await opened.Catalogues.ListAsync(Cancel)).Select(stored => (stored.Name, stored.Unreadable?.Text)));
    }

    /// <summary>A plan put by another program may name a file by any text, and so large a one that no index takes it.</summary>
    [Theory]
    [InlineData("night\0.csv")]
    [InlineData("")]
    [InlineData(null)]
    public async Task Files_OfATextThatIsNoKey_AreNone(string? text)
    {
        text ??= string.Concat(Enumerable.Range(0, 5_000).Select(number => Guid.NewGuid()));
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();

        StoredPlan plan = await opened.Plans.CreateAsync(new PlanDraft { GraphFile = text }, null, Cancel);

        Assert.Equal(text, (await opened.Plans.FindAsync(plan.Id, Cancel))?.Draft?.GraphFile);
        var files = opened.Services.GetRequiredService<JobFileStore>();
        Assert.Null(await files.OpenAsync(text, Cancel));
        Assert.Null(await files.LengthAsync(text, Cancel));
    }
}
