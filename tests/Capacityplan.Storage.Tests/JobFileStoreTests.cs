using System.Text;
using Capacityplan.Core.Planning;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Storage.Tests;

public sealed class JobFileStoreTests
{
    private const string Graph = "id,seconds,parents\na,1,\nb,2,a\n";

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Keep_AFile_IsReadBackByAnotherProcess()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PackedFile file = await PackedAsync(Graph);

        await Files(store).KeepAsync(file, Cancel);
        // Again, as another plan does that has the same file.
        await Files(store).KeepAsync(await PackedAsync(Graph), Cancel);

        Assert.Equal(Graph, await TextAsync(store, file.Key));
        Assert.Equal(Graph.Length, await Files(store).LengthAsync(file.Key, Cancel));
        Assert.NotEqual(file.Key, (await PackedAsync(Graph + "c,3,b\n")).Key);
        Assert.Null(await TextAsync(store, "none"));
    }

    [Fact]
    public async Task PackedFile_NotReadToItsEnd_IsNone()
    {
        await using PackedFile.PackingStream packing = PackedFile.Reading(new MemoryStream(Encoding.UTF8.GetBytes(Graph)));
        await packing.ReadExactlyAsync(new byte[4], Cancel);

        Assert.Throws<InvalidOperationException>(packing.Complete);
    }

    [Fact]
    public async Task File_OfADuplicatedPlan_StaysWhenTheOriginalIsGoneForGood()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PackedFile file = await PackedAsync(Graph);
        await Files(store).KeepAsync(file, Cancel);
        PlanStore plans = store.Open().Plans;
        StoredPlan original = await plans.CreateAsync(new PlanDraft { GraphFile = file.Key, GraphFileName = "night.csv" }, null, Cancel);
        StoredPlan? copy = await plans.DuplicateAsync(original.Id, Cancel);
        await plans.DeleteAsync(original.Id, Cancel);

        await LaterAsync(store);
        await LaterAsync(store);

        Assert.Equal(file.Key, (await plans.FindAsync(copy!.Id, Cancel))?.Draft?.GraphFile);
        Assert.Equal(Graph, await TextAsync(store, file.Key));
    }

    [Fact]
    public async Task File_OfADeletedPlan_StaysAsLongAsThePlanCanBePutBackAndThenGoes()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PackedFile file = await PackedAsync(Graph);
        await Files(store).KeepAsync(file, Cancel);
        PlanStore plans = store.Open().Plans;
        StoredPlan plan = await plans.CreateAsync(new PlanDraft { GraphFile = file.Key }, null, Cancel);
        await plans.DeleteAsync(plan.Id, Cancel);

        store.Clock.Now += PlanStore.KeepDeletedFor - TimeSpan.FromHours(1);
        await store.Open().PrepareAsync();
        Assert.Equal(Graph, await TextAsync(store, file.Key));

        // The plan goes, then the file has its own time.
        await LaterAsync(store);
        Assert.Equal(Graph, await TextAsync(store, file.Key));
        await LaterAsync(store);
        Assert.Null(await TextAsync(store, file.Key));
    }

    [Fact]
    public async Task File_TakenOutOfAPlanAndPutBack_IsStillThere()
    {
        await using TemporaryStore store = await TemporaryStore.PreparedAsync();
        PackedFile file = await PackedAsync(Graph);
        await Files(store).KeepAsync(file, Cancel);
        PlanStore plans = store.Open().Plans;
        StoredPlan plan = await plans.CreateAsync(new PlanDraft { GraphFile = file.Key }, null, Cancel);
        await plans.SaveAsync(plan.Id, new PlanDraft(), 1, null, Cancel);
        await store.Open().PrepareAsync();
        await plans.SaveAsync(plan.Id, new PlanDraft { GraphFile = file.Key }, 2, null, Cancel);

        await LaterAsync(store);
        await LaterAsync(store);

        Assert.Equal(Graph, await TextAsync(store, file.Key));
    }

    private static JobFileStore Files(TemporaryStore store) => store.Open().Services.GetRequiredService<JobFileStore>();

    /// <summary>A start so much later that whatever was to go by then goes.</summary>
    private static async Task LaterAsync(TemporaryStore store)
    {
        store.Clock.Now += PlanStore.KeepDeletedFor + TimeSpan.FromHours(2);
        await store.Open().PrepareAsync();
    }

    private static async Task<PackedFile> PackedAsync(string text)
    {
        await using PackedFile.PackingStream packing = PackedFile.Reading(new MemoryStream(Encoding.UTF8.GetBytes(text)));
        await packing.CopyToAsync(Stream.Null, Cancel);
        return packing.Complete();
    }

    private static async Task<string?> TextAsync(TemporaryStore store, string key)
    {
        await using Stream? content = await Files(store).OpenAsync(key, Cancel);
        if (content is null)
            return null;
        using var reader = new StreamReader(content);
        return await reader.ReadToEndAsync(Cancel);
    }
}
