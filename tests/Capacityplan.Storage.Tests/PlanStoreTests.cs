using System.Collections.Immutable;
using Capacityplan.Core.Planning;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage.Tests;

public sealed class PlanStoreTests
{
    private static readonly StoredAnswer s_holds = new(VerdictState.Holds, "Heron-16 finishes in 40 min (38 to 43).");

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Create_EveryFieldOfADraft_IsReadBackByAnotherProcess()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanDraft draft = Samples.EveryField();

        StoredPlan created = await store.Open().Plans.CreateAsync(draft, s_holds, Cancel);
        StoredPlan? found = await store.Open().Plans.FindAsync(created.Id, Cancel);

        Assert.NotNull(found);
        Assert.Equal(draft, found.Draft);
        Assert.Equal(created, found);
        Assert.Equal(1, found.Version);
        Assert.Equal(store.Clock.Now, found.UpdatedAt);
        Assert.Equal(s_holds, found.LastAnswer);
        Assert.True(found.IsReadable);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Changed_APlanMade_TellsItsKey(bool ofChoice)
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        List<Guid> told = [];
        plans.Changed += told.Add;

        StoredPlan? made = ofChoice
            ? await plans.TryCreateAsync(Guid.NewGuid(), new PlanDraft(), Cancel)
            : await plans.CreateAsync(new PlanDraft(), null, Cancel);
        StoredPlan? taken = await plans.TryCreateAsync(made!.Id, new PlanDraft(), Cancel);

        Assert.Null(taken);
        Assert.Equal([made.Id], told);
    }

    [Fact]
    public async Task List_SeveralPlans_PutsTheLastChangedFirst()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan first = await plans.CreateAsync(new PlanDraft { Name = "first" }, null, Cancel);
        // One tick apart: a database type that rounds moments would not keep them in order.
        store.Clock.Now += TimeSpan.FromTicks(1);
        await plans.CreateAsync(new PlanDraft { Name = "second" }, null, Cancel);
        store.Clock.Now += TimeSpan.FromTicks(1);
        await plans.CreateAsync(new PlanDraft { Name = "third" }, null, Cancel);
        store.Clock.Now += TimeSpan.FromTicks(1);
        await plans.SaveAsync(first.Id, new PlanDraft { Name = "first, changed" }, 1, null, Cancel);

        Assert.Equal(["first, changed", "third", "second"], (await plans.ListAsync(cancellationToken: Cancel)).Select(plan => plan.Name));
    }

    [Theory]
    [InlineData("TILES", "Night tiles")]
    [InlineData("  tidemark ", "Night tiles")]
    [InlineData("ÜBER", "Überlauf")]
    [InlineData("100%", "100% load")]
    [InlineData("_", "under_score")]
    [InlineData("nothing like it", "")]
    [InlineData(" ", "100% load|Night tiles|under_score|Überlauf")]
    public async Task List_WithAPartOfNameOrOwner_FindsItInAnyCase(string find, string expected)
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        await plans.CreateAsync(new PlanDraft { Name = "Night tiles", Owner = "Tidemark Hydrographic" }, null, Cancel);
        await plans.CreateAsync(new PlanDraft { Name = "Überlauf" }, null, Cancel);
        await plans.CreateAsync(new PlanDraft { Name = "100% load" }, null, Cancel);
        await plans.CreateAsync(new PlanDraft { Name = "under_score" }, null, Cancel);

        IEnumerable<string> found = (await plans.ListAsync(find, Cancel)).Select(plan => plan.Name).Order(StringComparer.Ordinal);

        Assert.Equal(expected, string.Join('|', found));
    }

    [Fact]
    public async Task Save_OverTheVersionItStartedFrom_RaisesTheVersionAndChangesEverything()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan created = await plans.CreateAsync(new PlanDraft { Name = "old", Owner = "old" }, null, Cancel);
        store.Clock.Now += TimeSpan.FromMinutes(1);
        PlanDraft draft = Samples.EveryField();

        SaveResult<StoredPlan> result = await plans.SaveAsync(created.Id, draft, created.Version, s_holds, Cancel);
        StoredPlan? found = await plans.FindAsync(created.Id, Cancel);

        Assert.Equal(SaveState.Saved, result.State);
        Assert.Equal(found, result.Current);
        Assert.Equal(draft, found?.Draft);
        Assert.Equal(2, found?.Version);
        Assert.Equal(store.Clock.Now, found?.UpdatedAt);
        Assert.Equal(s_holds, found?.LastAnswer);
        Assert.Empty(await plans.ListAsync("old", Cancel));
    }

    [Fact]
    public async Task Save_OverALaterVersion_IsAConflictThatShowsIt()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore mine = store.Open().Plans;
        PlanStore theirs = store.Open().Plans;
        StoredPlan created = await mine.CreateAsync(new PlanDraft { Name = "base" }, null, Cancel);
        await theirs.SaveAsync(created.Id, new PlanDraft { Name = "theirs" }, created.Version, s_holds, Cancel);

        SaveResult<StoredPlan> result = await mine.SaveAsync(created.Id, new PlanDraft { Name = "mine" }, created.Version, null, Cancel);

        Assert.Equal(SaveState.Conflict, result.State);
        Assert.Equal("theirs", result.Current?.Draft?.Name);
        Assert.Equal(2, result.Current?.Version);
        Assert.Equal("theirs", (await mine.FindAsync(created.Id, Cancel))?.Name);
    }

    [Fact]
    public async Task Save_AVersionThatNeverWas_IsAConflict()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan created = await plans.CreateAsync(new PlanDraft { Name = "base" }, null, Cancel);

        Assert.Equal(SaveState.Conflict, (await plans.SaveAsync(created.Id, new PlanDraft(), 2, null, Cancel)).State);
        Assert.Equal(SaveState.Conflict, (await plans.SaveAsync(created.Id, new PlanDraft(), 0, null, Cancel)).State);
    }

    [Fact]
    public async Task Save_APlanDeletedOrNeverThere_IsGone()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan created = await plans.CreateAsync(new PlanDraft(), null, Cancel);
        await plans.DeleteAsync(created.Id, Cancel);

        Assert.Equal(new SaveResult<StoredPlan>(SaveState.Gone, null), await plans.SaveAsync(created.Id, new PlanDraft(), 1, null, Cancel));
        Assert.Equal(new SaveResult<StoredPlan>(SaveState.Gone, null), await plans.SaveAsync(Guid.NewGuid(), new PlanDraft(), 1, null, Cancel));
    }

    [Fact]
    public async Task Save_ManyAtOnceOverOneVersion_LetsExactlyOneThrough()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore[] processes = [store.Open().Plans, store.Open().Plans];
        StoredPlan created = await processes[0].CreateAsync(new PlanDraft { Name = "base" }, null, Cancel);

        SaveResult<StoredPlan>[] results = await Task.WhenAll(Enumerable.Range(0, 24).Select(saver => Task.Run(
            () => processes[saver % 2].SaveAsync(created.Id, new PlanDraft { Name = $"saver {saver}" }, 1, null, Cancel), Cancel)));

        SaveResult<StoredPlan> winner = Assert.Single(results, result => result.State == SaveState.Saved);
        Assert.All(results, result => Assert.Equal(winner.Current, result.Current));
        Assert.Equal(winner.Current, await processes[1].FindAsync(created.Id, Cancel));
    }

    [Fact]
    public async Task Save_ByTwoProcessesThatTryAgainOnConflict_LosesNoneOfTheirChanges()
    {
        const int SavesEach = 10;
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        StoredPlan created = await store.Open().Plans.CreateAsync(new PlanDraft(), null, Cancel);

        await Task.WhenAll(Enumerable.Range(0, 2).Select(process => Task.Run(async () =>
        {
            PlanStore plans = store.Open().Plans;
            StoredPlan current = created;
            for (int save = 0; save < SavesEach;)
            {
                PlanDraft draft = current.Draft! with { TimingsText = $"{current.Draft!.TimingsText}{process}" };
                SaveResult<StoredPlan> result = await plans.SaveAsync(created.Id, draft, current.Version, null, Cancel);
                current = result.Current!;
                save += result.State == SaveState.Saved ? 1 : 0;
            }
        }, Cancel)));

        StoredPlan? last = await store.Open().Plans.FindAsync(created.Id, Cancel);
        Assert.Equal(1 + 2 * SavesEach, last?.Version);
        Assert.Equal(SavesEach, last?.Draft?.TimingsText.Count(mark => mark == '0'));
        Assert.Equal(SavesEach, last?.Draft?.TimingsText.Count(mark => mark == '1'));
    }

    [Fact]
    public async Task RecordAnswer_ToTheVersionItWasWorkedOutFor_ChangesNothingElse()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan created = await plans.CreateAsync(Samples.EveryField(), null, Cancel);
        store.Clock.Now += TimeSpan.FromMinutes(1);

        Assert.True(await plans.RecordAnswerAsync(created.Id, 1, s_holds, Cancel));
        Assert.Equal(created with { LastAnswer = s_holds }, await plans.FindAsync(created.Id, Cancel));
    }

    [Fact]
    public async Task RecordAnswer_ToADraftChangedOrDeletedSince_IsDropped()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan created = await plans.CreateAsync(new PlanDraft(), null, Cancel);
        await plans.SaveAsync(created.Id, new PlanDraft { Name = "changed" }, 1, null, Cancel);

        Assert.False(await plans.RecordAnswerAsync(created.Id, 1, s_holds, Cancel));
        Assert.Null((await plans.FindAsync(created.Id, Cancel))?.LastAnswer);
        await plans.DeleteAsync(created.Id, Cancel);
        Assert.False(await plans.RecordAnswerAsync(created.Id, 2, s_holds, Cancel));
    }

    [Fact]
    public async Task Restore_ADeletedPlan_PutsItBackAsItWas()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan created = await plans.CreateAsync(Samples.EveryField(), s_holds, Cancel);

        Assert.True(await plans.DeleteAsync(created.Id, Cancel));
        Assert.Null(await plans.FindAsync(created.Id, Cancel));
        Assert.Empty(await plans.ListAsync(cancellationToken: Cancel));
        Assert.False(await plans.DeleteAsync(created.Id, Cancel));

        Assert.True(await store.Open().Plans.RestoreAsync(created.Id, Cancel));
        Assert.Equal(created, await plans.FindAsync(created.Id, Cancel));
        Assert.False(await plans.RestoreAsync(created.Id, Cancel));
        Assert.False(await plans.RestoreAsync(Guid.NewGuid(), Cancel));
    }

    [Fact]
    public async Task Delete_AfterTheTimeToPutBackAnother_RemovesThatOneForGood()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        StoredPlan old = await plans.CreateAsync(new PlanDraft(), null, Cancel);
        StoredPlan recent = await plans.CreateAsync(new PlanDraft(), null, Cancel);
        await plans.DeleteAsync(old.Id, Cancel);
        store.Clock.Now += PlanStore.KeepDeletedFor;
        await plans.DeleteAsync(recent.Id, Cancel);
        Assert.True(await plans.RestoreAsync(old.Id, Cancel));
        await plans.DeleteAsync(old.Id, Cancel);

        store.Clock.Now += PlanStore.KeepDeletedFor + TimeSpan.FromTicks(1);
        StoredPlan another = await plans.CreateAsync(new PlanDraft(), null, Cancel);
        await plans.DeleteAsync(another.Id, Cancel);

        Assert.False(await plans.RestoreAsync(old.Id, Cancel));
        Assert.False(await plans.RestoreAsync(recent.Id, Cancel));
        Assert.True(await plans.RestoreAsync(another.Id, Cancel));
    }

    [Fact]
    public async Task Duplicate_APlan_CopiesAllButKeyNameAndVersion()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PlanStore plans = store.Open().Plans;
        PlanDraft draft = Samples.EveryField() with { Name = "Night tiles" };
        StoredPlan original = await plans.CreateAsync(draft, s_holds, Cancel);
        await plans.SaveAsync(original.Id, draft, 1, s_holds, Cancel);

        StoredPlan? copy = await plans.DuplicateAsync(original.Id, Cancel);
        StoredPlan? second = await plans.DuplicateAsync(original.Id, Cancel);

        Assert.NotNull(copy);
        Assert.NotEqual(original.Id, copy.Id);
        Assert.Equal(draft with { Name = "Night tiles, copy" }, copy.Draft);
        Assert.Equal(1, copy.Version);
        Assert.Equal(s_holds, copy.LastAnswer);
        Assert.Equal(copy, await plans.FindAsync(copy.Id, Cancel));
        Assert.Equal("Night tiles, copy 2", second?.Draft?.Name);
        Assert.Equal("Night tiles", (await plans.FindAsync(original.Id, Cancel))?.Name);
    }

    [Fact]
    public async Task Duplicate_WhatIsNotThereOrCannotBeRead_GivesNothing()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredPlan damaged = await opened.Plans.CreateAsync(new PlanDraft { Name = "damaged" }, null, Cancel);
        await OverwriteAsync(opened, damaged.Id, "{");

        Assert.Null(await opened.Plans.DuplicateAsync(Guid.NewGuid(), Cancel));
        Assert.Null(await opened.Plans.DuplicateAsync(damaged.Id, Cancel));
        Assert.Single(await opened.Plans.ListAsync(cancellationToken: Cancel));
    }

    [Theory]
    [InlineData("")]
    [InlineData("{ \"name\": \"Night ti")]
    [InlineData("null")]
    [InlineData("[]")]
    [InlineData("{ \"name\": null }")]
    [InlineData("{ \"name\": 7 }")]
    [InlineData("{ \"fromALaterVersion\": \"kept\" }")]
    public async Task List_ARowThatCannotBeRead_IsReportedWithItsTextBesideTheOthers(string text)
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredPlan whole = await opened.Plans.CreateAsync(new PlanDraft { Name = "whole" }, null, Cancel);
        store.Clock.Now += TimeSpan.FromMinutes(1);
        StoredPlan damaged = await opened.Plans.CreateAsync(new PlanDraft { Name = "damaged", Owner = "Tidemark" }, s_holds, Cancel);
        await OverwriteAsync(opened, damaged.Id, text);

        ImmutableArray<StoredPlan> listed = await opened.Plans.ListAsync(cancellationToken: Cancel);

        Assert.Equal([damaged.Id, whole.Id], listed.Select(plan => plan.Id));
        Assert.False(listed[0].IsReadable);
        Assert.Equal(text, listed[0].Unreadable?.Text);
        Assert.False(string.IsNullOrWhiteSpace(listed[0].Unreadable?.Why));
        Assert.Equal(("damaged", "Tidemark", s_holds), (listed[0].Name, listed[0].Owner, listed[0].LastAnswer));
        Assert.Equal(whole, listed[1]);
    }

    [Fact]
    public async Task Find_AnAnswerWithAStateOfALaterVersion_LeavesTheAnswerOut()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        OpenedStore opened = store.Open();
        StoredPlan plan = await opened.Plans.CreateAsync(new PlanDraft { Name = "tiles" }, s_holds, Cancel);
        await using (StorageContext context = await opened.Contexts.CreateDbContextAsync(Cancel))
            await context.Plans.ExecuteUpdateAsync(set => set.SetProperty(row => row.AnswerState, "Wavers"), Cancel);

        Assert.Equal(plan with { LastAnswer = null }, await opened.Plans.FindAsync(plan.Id, Cancel));
    }

    private static async Task OverwriteAsync(OpenedStore opened, Guid id, string text)
    {
        await using StorageContext context = await opened.Contexts.CreateDbContextAsync(Cancel);
        int changed = await context.Plans.Where(row => row.Id == id).ExecuteUpdateAsync(set => set.SetProperty(row => row.Draft, text), Cancel);
        Assert.Equal(1, changed);
    }
}
