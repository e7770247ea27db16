using System.Buffers;
using System.Collections.Immutable;

namespace Capacityplan.Core.Graphs;

/// <summary>
/// Tasks put together by what their ids begin with: "render_0001" and "render_0002" are of the kind render. Generated graphs name their tasks so
/// (common practice, no source). Those with the most work are told apart, the rest are of one last kind.
/// </summary>
public sealed class TaskKinds
{
    private const string AllAlike = "tasks";
    private const string Rest = "others";
    private const string Marks = "_-.:#/ ";

    private static readonly SearchValues<char> s_marks = SearchValues.Create(Marks);

    private readonly byte[] _kinds;

    private TaskKinds(ImmutableArray<string> names, byte[] kinds)
    {
        Names = names;
        _kinds = kinds;
    }

    /// <summary>What the kinds are called, most work first; one or more.</summary>
    public ImmutableArray<string> Names { get; }

    /// <summary>The kind of a task: its place in <see cref="Names"/>.</summary>
    /// <param name="task">The task, by number from 0.</param>
    public int Of(int task) => _kinds[task];

    /// <summary>Tells the kinds of a graph's tasks.</summary>
    /// <param name="graph">The graph.</param>
    /// <param name="most">At most so many kinds, the last for all others where there are more; from 2 to 255.</param>
    public static TaskKinds Of(TaskGraph graph, int most = 6)
    {
        ArgumentNullException.ThrowIfNull(graph);
        Require.Within(most, 2, byte.MaxValue);
        // Where ids go on after what they begin with in many ways, their first word says enough.
        return Of(graph, most, byWord: false) ?? Of(graph, most, byWord: true)!;
    }

    // Null where there are too many kinds to tell apart, and their first words might make fewer.
    private static TaskKinds? Of(TaskGraph graph, int most, bool byWord)
    {
        var numbers = new Dictionary<string, int>(StringComparer.Ordinal);
        Dictionary<string, int>.AlternateLookup<ReadOnlySpan<char>> known = numbers.GetAlternateLookup<ReadOnlySpan<char>>();
        var work = new List<double>();
        int[] met = new int[graph.Count];
        for (int task = 0; task < met.Length; task++)
        {
            ReadOnlySpan<char> stem = Stem(graph.Id(task));
            if (byWord && stem.IndexOfAny(s_marks) is > 0 and var mark)
                stem = stem[..mark];
            if (!known.TryGetValue(stem, out int number))
            {
                number = work.Count;
                numbers.Add(stem.ToString(), number);
                work.Add(0);
            }

            met[task] = number;
            work[number] += graph.Seconds[task];
        }

        if (!byWord && work.Count > most)
            return null;
        int[] ranked = [.. Enumerable.Range(0, work.Count).OrderByDescending(number => work[number]).ThenBy(number => number)];
        string[] names = new string[work.Count];
        foreach ((string name, int number) in numbers)
            names[number] = name;
        int apart = work.Count <= most ? work.Count : most - 1;
        byte[] place = new byte[work.Count];
        Array.Fill(place, (byte)apart);
        for (int rank = 0; rank < apart; rank++)
            place[ranked[rank]] = (byte)rank;
        IEnumerable<string> shown = ranked.Take(apart).Select(number => names[number].Length > 0 ? names[number] : AllAlike);
        return new TaskKinds([.. apart < work.Count ? shown.Append(Rest) : shown], Array.ConvertAll(met, number => place[number]));
    }

    // Without the number at its end, the marks before that, and a word that only says that it is a number.
    private static ReadOnlySpan<char> Stem(ReadOnlySpan<char> id)
    {
        ReadOnlySpan<char> stem = id.TrimEnd("0123456789").TrimEnd(Marks);
        if (stem.EndsWith("_ID", StringComparison.Ordinal) || stem.EndsWith("_id", StringComparison.Ordinal))
            stem = stem[..^3];
        return stem;
    }
}
