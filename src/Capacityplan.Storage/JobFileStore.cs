using System.IO.Compression;
using Capacityplan.Storage.Database;
using Microsoft.EntityFrameworkCore;

namespace Capacityplan.Storage;

/// <summary>
/// The files that plans refer to, each kept once under a key of its content, however many plans have it. They are large, so they
/// stand beside the plans and not in them. Safe to use from any number of threads and circuits.
/// </summary>
/// <remarks>
/// A file no plan refers to, deleted plans included, is removed <see cref="PlanStore.KeepDeletedFor"/> after that was first
/// found, so that taking a file out of a plan can be undone like deleting the plan.
/// </remarks>
public sealed class JobFileStore
{
    private readonly IDbContextFactory<StorageContext> _contexts;

    internal JobFileStore(IDbContextFactory<StorageContext> contexts) => _contexts = contexts;

    /// <summary>Keeps a file; nothing happens where it is kept already.</summary>
    /// <param name="file">The file.</param>
    /// <param name="cancellationToken">Ends the wait for a database.</param>
    public async Task KeepAsync(PackedFile file, CancellationToken cancellationToken = default)
    {
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        if (await UseAsync(context, file.Key, cancellationToken))
            return;
        context.JobFiles.Add(new JobFileRow { Key = file.Key, Content = file.Content, Length = file.Length });
        try
        {
            await context.SaveChangesAsync(cancellationToken);
        }
        catch (DbUpdateException)
        {
            // Two savers of one content: the key lets one of them in, which is as good as both.
            if (!await UseAsync(context, file.Key, cancellationToken))
                throw;
        }
    }

    /// <summary>Opens a file, unpacked; null where there is none of that key.</summary>
    /// <param name="key">Its key.</param>
    /// <param name="cancellationToken">Ends the wait for a database.</param>
    public async Task<Stream?> OpenAsync(string key, CancellationToken cancellationToken = default)
    {
        if (!PackedFile.IsKey(key))
            return null;
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        byte[]? content = await context.JobFiles.AsNoTracking().Where(file => file.Key == key).Select(file => file.Content)
            .SingleOrDefaultAsync(cancellationToken);
        return content is null ? null : new GZipStream(new MemoryStream(content, writable: false), CompressionMode.Decompress);
    }

    /// <summary>Bytes of a file before it was packed; null where there is none of that key.</summary>
    /// <param name="key">Its key.</param>
    /// <param name="cancellationToken">Ends the wait for a database.</param>
    public async Task<long?> LengthAsync(string key, CancellationToken cancellationToken = default)
    {
        if (!PackedFile.IsKey(key))
            return null;
        await using StorageContext context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.JobFiles.Where(file => file.Key == key).Select(file => (long?)file.Length).SingleOrDefaultAsync(cancellationToken);
    }

    /// <summary>Removes for good what no plan has referred to for long enough.</summary>
    internal static async Task PurgeAsync(StorageContext context, DateTimeOffset now, CancellationToken cancellationToken)
    {
        await context.JobFiles.Where(file => file.UnusedSince != null && context.Plans.Any(plan => plan.GraphFile == file.Key))
            .ExecuteUpdateAsync(set => set.SetProperty(file => file.UnusedSince, (DateTimeOffset?)null), cancellationToken);
        await context.JobFiles.Where(file => file.UnusedSince == null && !context.Plans.Any(plan => plan.GraphFile == file.Key))
            .ExecuteUpdateAsync(set => set.SetProperty(file => file.UnusedSince, now), cancellationToken);
        DateTimeOffset before = now - PlanStore.KeepDeletedFor;
        await context.JobFiles.Where(file => file.UnusedSince < before).ExecuteDeleteAsync(cancellationToken);
    }

    // A file that is used again starts its time anew: the plan that refers to it is saved only after this.
    private static async Task<bool> UseAsync(StorageContext context, string key, CancellationToken cancellationToken) =>
        await context.JobFiles.Where(file => file.Key == key)
            .ExecuteUpdateAsync(set => set.SetProperty(file => file.UnusedSince, (DateTimeOffset?)null), cancellationToken) > 0;
}
