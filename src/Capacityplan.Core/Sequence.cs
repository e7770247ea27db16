using System.Collections.Immutable;

namespace Capacityplan.Core;

/// <summary>
/// A list that is equal to another when both hold equal items in the same order, so that a record that keeps its lists in
/// fields of this kind is compared by what it holds.
/// </summary>
internal readonly struct Sequence<T> : IEquatable<Sequence<T>>
{
    private readonly ImmutableArray<T> _items;

    public Sequence(ImmutableArray<T> items) => _items = items;

    /// <summary>The items; empty where none were given.</summary>
    public ImmutableArray<T> Items => _items.IsDefault ? [] : _items;

    public bool Equals(Sequence<T> other) => Items.AsSpan().SequenceEqual(other.Items.AsSpan());

    public override bool Equals(object? obj) => obj is Sequence<T> other && Equals(other);

    public override int GetHashCode()
    {
        var hash = new HashCode();
        foreach (T item in Items)
            hash.Add(item);
        return hash.ToHashCode();
    }
}
