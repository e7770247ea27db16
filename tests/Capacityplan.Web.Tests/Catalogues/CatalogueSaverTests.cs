using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Capacityplan.Web.Catalogues;
using Capacityplan.Web.Plans;
using Microsoft.Extensions.Logging.Abstractions;

namespace Capacityplan.Web.Tests.Catalogues;

public sealed class CatalogueSaverTests : IAsyncLifetime
{
    private TemporaryStore _store = default!;
    private StoredCatalogue _stored = default!;
    private CatalogueSheet _sheet = default!;

    public async ValueTask InitializeAsync()
    {
        _store = await TemporaryStore.OpenAsync();
        _stored = await _store.Catalogues.CreateAsync(TemporaryStore.Birds());
        _sheet = new CatalogueSheet(CatalogueDraft.Of(_stored.Catalogue!));
    }

    public ValueTask DisposeAsync() => _store.DisposeAsync();

    [Fact]
    public async Task Take_AChange_IsSavedByItselfAfterAPause()
    {
        await using CatalogueSaver saver = Saver();
        var saved = new TaskCompletionSource<SheetMoment>();
        saver.Saved += saved.SetResult;

        Type("0.42");
        saver.Take(SheetMoment.Of(_sheet));
        Assert.Equal(SavedState.Saving, saver.State);
        _store.Clock.Advance(TimeSpan.FromSeconds(1));
        SheetMoment moment = await saved.Task.WaitAsync(TimeSpan.FromSeconds(30), TestContext.Current.CancellationToken);

        Assert.Equal("0.42", moment.Rows[0].Draft.PricePerHour);
        StoredCatalogue? stored = await CurrentAsync();
        Assert.Equal((2, 0.42m), (stored?.Version, PriceOf(stored)));
        Assert.Null(stored?.Draft);
    }

    [Fact]
    public async Task Save_ABadCell_KeepsItsTextBesideTheCatalogueUntilItIsMended()
    {
        await using CatalogueSaver saver = Saver();

        Type("0.4o");
        saver.Take(SheetMoment.Of(_sheet));
        await saver.SaveAsync();
        StoredCatalogue? stored = await CurrentAsync();
        Assert.Equal((0.39m, "0.4o"), (PriceOf(stored), stored?.Draft?.Machines[0].PricePerHour));

        CatalogueSheet reopened = new(stored!.Draft!);
        Assert.Equal(1, reopened.Refused);
        Type("0.4");
        saver.Take(SheetMoment.Of(_sheet));
        await saver.SaveAsync();
        stored = await CurrentAsync();
        Assert.Equal(0.4m, PriceOf(stored));
        Assert.Null(stored?.Draft);
    }

    [Fact]
    public async Task Save_AfterSomebodyElseSaved_WritesNothingUntilBothAreTogether()
    {
        await using CatalogueSaver saver = Saver();
        Catalogue theirs = TemporaryStore.Birds(new DateOnly(2026, 11, 20));
        await _store.Catalogues.SaveAsync(_stored.Id, theirs, _stored.Version);

        Type("0.42");
        saver.Take(SheetMoment.Of(_sheet));
        await saver.SaveAsync();
        saver.Take(SheetMoment.Of(_sheet));
        await saver.SaveAsync();
        Assert.Equal((SavedState.Conflict, 2, 0.39m), (saver.State, (await CurrentAsync())?.Version, PriceOf(await CurrentAsync())));

        Assert.Empty(_sheet.TakeIn(CatalogueDraft.Of(saver.Theirs!.Catalogue!)));
        saver.Resume(saver.Theirs!, SheetMoment.Of(_sheet));
        await saver.SaveAsync();
        StoredCatalogue? stored = await CurrentAsync();
        Assert.Equal((SavedState.Saved, 3, 0.42m, new DateOnly(2026, 11, 20)), (saver.State, stored?.Version, PriceOf(stored), stored?.Catalogue?.PricesOf));
    }

    [Fact]
    public async Task Save_OfADeletedCatalogue_CanMakeANewOne()
    {
        await using CatalogueSaver saver = Saver();
        await _store.Catalogues.DeleteAsync(_stored.Id);
        Type("0.4o");
        saver.Take(SheetMoment.Of(_sheet));
        await saver.SaveAsync();
        Assert.Equal(SavedState.Gone, saver.State);

        await saver.SaveAsNewAsync(SheetMoment.Of(_sheet));

        StoredCatalogue? created = await _store.Catalogues.GetDefaultAsync();
        Assert.Equal((SavedState.Saved, "Birds", "0.4o"), (saver.State, created?.Name, created?.Draft?.Machines[0].PricePerHour));
        Assert.NotEqual(_stored.Id, created?.Id);
    }

    [Fact]
    public async Task Save_IntoAStoreThatRefuses_SaysSoAndIsStillDue()
    {
        await using CatalogueSaver saver = Saver();
        await _store.DropAsync("Catalogues");
        Type("0.42");
        saver.Take(SheetMoment.Of(_sheet));

        await saver.SaveAsync();

        Assert.Equal(SavedState.Failed, saver.State);
    }

    [Fact]
    public async Task Dispose_SavesWhatIsDue()
    {
        CatalogueSaver saver = Saver();
        Type("0.42");
        saver.Take(SheetMoment.Of(_sheet));

        await saver.DisposeAsync();

        Assert.Equal(0.42m, PriceOf(await CurrentAsync()));
    }

    private CatalogueSaver Saver() => new(_stored, _store.Catalogues, _store.Clock, NullLogger<CatalogueSaver>.Instance);

    private void Type(string price) => _sheet.Type(_sheet.Rows[0].Key, MachineField.PricePerHour, price);

    private Task<StoredCatalogue?> CurrentAsync() => _store.Catalogues.FindAsync(_stored.Id);

    private static decimal? PriceOf(StoredCatalogue? stored) => ((MeteredPurchase?)stored?.Catalogue?.Machines[0].Purchase[0])?.PricePerHour;
}
