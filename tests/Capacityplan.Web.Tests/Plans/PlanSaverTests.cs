using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Plans;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

public sealed class PlanSaverTests : IAsyncLifetime
{
    private readonly string _directory = Directory.CreateTempSubdirectory("capacityplan-").FullName;
    private readonly FakeTimeProvider _clock = new();
    private ServiceProvider _services = default!;
    private PlanStore _store = default!;
    private StoredPlan _plan = default!;

    public async ValueTask InitializeAsync()
    {
        IConfiguration configuration = new ConfigurationBuilder()
            .AddInMemoryCollection(new Dictionary<string, string?> { ["Capacityplan:DataDirectory"] = _directory })
            .Build();
        _services = new ServiceCollection().AddLogging().AddCapacityplanStorage(configuration).BuildServiceProvider();
        await _services.GetRequiredService<StorageStartup>().PrepareAsync();
        _store = _services.GetRequiredService<PlanStore>();
        _plan = await _store.CreateAsync(new PlanDraft { Name = "first" });
    }

    public async ValueTask DisposeAsync()
    {
        await _services.DisposeAsync();
        SqliteConnection.ClearAllPools();
        Directory.Delete(_directory, recursive: true);
    }

    [Fact]
    public async Task Save_OfAChange_StoresItWithItsAnswer()
    {
        await using PlanSaver saver = Saver();

        saver.Take(new PlanDraft { Name = "second" }, new StoredAnswer(VerdictState.Holds, "It holds."));
        Assert.Equal(SavedState.Saving, saver.State);
        await saver.SaveAsync();

        StoredPlan stored = (await _store.FindAsync(_plan.Id))!;
        Assert.Equal(SavedState.Saved, saver.State);
        Assert.Equal("second", stored.Draft!.Name);
        Assert.Equal("It holds.", stored.LastAnswer!.Sentence);
    }

    [Fact]
    public async Task Take_SavesByItselfAfterAPause()
    {
        await using PlanSaver saver = Saver();
        var saved = new TaskCompletionSource();
        saver.Changed += () =>
        {
            if (saver.State == SavedState.Saved)
                saved.TrySetResult();
        };

        saver.Take(new PlanDraft { Name = "by itself" }, null);
        _clock.Advance(TimeSpan.FromSeconds(1));
        await saved.Task.WaitAsync(TimeSpan.FromSeconds(30), TestContext.Current.CancellationToken);

        Assert.Equal("by itself", (await _store.FindAsync(_plan.Id))!.Draft!.Name);
    }

    [Fact]
    public async Task Dispose_SavesWhatIsDue()
    {
        PlanSaver saver = Saver();
        saver.Take(new PlanDraft { Name = "at the last moment" }, null);
        await saver.DisposeAsync();

        Assert.Equal("at the last moment", (await _store.FindAsync(_plan.Id))!.Draft!.Name);
    }

    [Fact]
    public async Task OpenPlans_WhenTheServerBeginsToStop_SaveWhatIsDueOnEachThatIsStillOpen()
    {
        using var stopped = new CancellationTokenSource();
        var open = new OpenPlans();
        StoredPlan other = await _store.CreateAsync(new PlanDraft { Name = "other" });
        await using PlanSaver saver = Saver(), closed = new(other, _store, _clock, NullLogger<PlanSaver>.Instance);
        open.Open(saver);
        open.Open(closed);
        open.Close(closed);
        saver.Take(new PlanDraft { Name = "as the server stops" }, null);
        closed.Take(new PlanDraft { Name = "as its page closes" }, null);

        await open.StoppingAsync(stopped.Token);

        Assert.Equal("as the server stops", (await _store.FindAsync(_plan.Id))!.Draft!.Name);
        Assert.Equal("other", (await _store.FindAsync(other.Id))!.Draft!.Name);
    }

    [Fact]
    public async Task Save_AfterSomebodyElseSaved_LeavesTheirsAndOffersACopy()
    {
        await using PlanSaver mine = Saver();
        await _store.SaveAsync(_plan.Id, new PlanDraft { Name = "theirs" }, _plan.Version, null);

        mine.Take(new PlanDraft { Name = "mine" }, null);
        await mine.SaveAsync();

        Assert.Equal(SavedState.Conflict, mine.State);
        Assert.Equal("theirs", (await _store.FindAsync(_plan.Id))!.Draft!.Name);
        StoredPlan copy = await mine.SaveAsCopyAsync(new PlanDraft { Name = "mine" });
        Assert.Equal("mine (mine)", copy.Draft!.Name);
        Assert.NotEqual(_plan.Id, copy.Id);
    }

    [Fact]
    public async Task Save_OfADeletedPlan_SaysItIsGone()
    {
        await using PlanSaver saver = Saver();
        await _store.DeleteAsync(_plan.Id);

        saver.Take(new PlanDraft { Name = "late" }, null);
        await saver.SaveAsync();

        Assert.Equal(SavedState.Gone, saver.State);
    }

    [Fact]
    public async Task Save_OfTheAnswerAlone_DoesNotMakeANewVersion()
    {
        await using PlanSaver saver = Saver();

        saver.Take(new PlanDraft { Name = "first" }, new StoredAnswer(VerdictState.Misses, "None holds."));
        await saver.SaveAsync();

        StoredPlan stored = (await _store.FindAsync(_plan.Id))!;
        Assert.Equal(_plan.Version, stored.Version);
        Assert.Equal("None holds.", stored.LastAnswer!.Sentence);
    }

    private PlanSaver Saver() => new(_plan, _store, _clock, NullLogger<PlanSaver>.Instance);
}
