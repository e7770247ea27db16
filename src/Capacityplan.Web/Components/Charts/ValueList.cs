using System.Collections;
using System.Runtime.CompilerServices;

namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// A list that equals another by its items, so that two chart models that would draw the same picture are equal and the
/// second is not sent to the browser. (An immutable array compares by reference.)
/// </summary>
[CollectionBuilder(typeof(ValueList), nameof(ValueList.Create))]
public readonly struct ValueList<T> : IReadOnlyList<T>, IEquatable<ValueList<T>>
{
    private readonly T[]? _items;

    internal ValueList(T[] items) => _items = items;

    public int Count => _items?.Length ?? 0;

    public T this[int index] => (_items ?? [])[index];

    public ReadOnlySpan<T> AsSpan() => _items;

    public IEnumerator<T> GetEnumerator() => ((IEnumerable<T>)(_items ?? [])).GetEnumerator();

    IEnumerator IEnumerable.GetEnumerator() => GetEnumerator();

    public bool Equals(ValueList<T> other) =>
        ReferenceEquals(_items, other._items) || AsSpan().SequenceEqual(other.AsSpan(), EqualityComparer<T>.Default);

    public override bool Equals(object? obj) => obj is ValueList<T> other && Equals(other);

    public override int GetHashCode()
    {
        var hash = new HashCode();
        foreach (T item in AsSpan())
            hash.Add(item);
        return hash.ToHashCode();
    }

    public static bool operator ==(ValueList<T> left, ValueList<T> right) => left.Equals(right);

    public static bool operator !=(ValueList<T> left, ValueList<T> right) => !left.Equals(right);
}

/// <summary>Makes value lists.</summary>
public static class ValueList
{
    public static ValueList<T> Create<T>(ReadOnlySpan<T> items) => new(items.ToArray());

    public static ValueList<T> ToValueList<T>(this IEnumerable<T> items) => new(items.ToArray());
}
