using System.ComponentModel;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>A part of a list.</summary>
/// <param name="Items">The entries of the part.</param>
/// <param name="Offset">How many entries stand before it.</param>
/// <param name="Total">How many entries there are in all.</param>
public sealed record PageAnswer<T>(IReadOnlyList<T> Items, int Offset, int Total);

/// <summary>Which part of a list is asked for.</summary>
internal sealed record Paging
{
    /// <summary>The most entries of one answer.</summary>
    public const int MostItems = 200;

    /// <summary>How many entries to pass over; 0 or more.</summary>
    [DefaultValue(0)]
    public int? Offset { get; init; }

    /// <summary>How many entries to give at most; from 1 to 200.</summary>
    [DefaultValue(50)]
    public int? Limit { get; init; }

    /// <summary>The part of a list.</summary>
    /// <returns>The part; or the problem for which there is none.</returns>
    public (PageAnswer<TEntry>? Page, ProblemHttpResult? Problem) Of<TItem, TEntry>(IReadOnlyList<TItem> all, Func<TItem, TEntry> entry)
    {
        int offset = Offset ?? 0, limit = Limit ?? 50;
        if (offset < 0 || limit is < 1 or > MostItems)
            return (null, RequestProblem.Of(StatusCodes.Status422UnprocessableEntity, FormattableString.Invariant($"offset has to be 0 or more, limit from 1 to {MostItems}.")));
        return (new PageAnswer<TEntry>([.. all.Skip(offset).Take(limit).Select(entry)], offset, all.Count), null);
    }
}
