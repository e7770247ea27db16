using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>Which column of a table of tasks holds what.</summary>
internal sealed record GraphColumns
{
    private static readonly string[] s_ids = ["id", "task", "name", "taskid", "node"];
    private static readonly string[] s_durations = ["duration", "runtime", "time", "elapsed", "work", "cost", "length"];
    private static readonly string[] s_parents = ["parents", "parent", "predecessors", "predecessor", "preds", "dependencies", "depends", "dependson", "deps", "after", "needs"];

    /// <summary>Columns there are; a row may have fewer, not more.</summary>
    public required int Count { get; init; }

    public required int Id { get; init; }

    public required int Seconds { get; init; }

    /// <summary>-1 where there is none.</summary>
    public required int Parents { get; init; }

    /// <summary>What a number without a unit counts, seconds.</summary>
    public double UnitSeconds { get; init; } = 1;

    /// <summary>True where the first row is a heading.</summary>
    public bool IsHeading { get; init; }

    /// <summary>True where a heading lacks a column that has to be there.</summary>
    public bool IsBroken => Id < 0 || Seconds < 0;

    /// <summary>Reads the first row, which is a heading where its words name columns and its second field is no duration.</summary>
    public static GraphColumns Of(string[] cells, TextSpan[] places, GraphFindings findings)
    {
        string[][] words = [.. cells.Select(Words)];
        int id = Array.FindIndex(words, cell => Has(cell, s_ids));
        double unit = 1;
        int seconds = Array.FindIndex(words, cell => Array.Exists(cell, word => s_durations.Contains(word)));
        if (seconds < 0)
            seconds = Array.FindIndex(words, cell => Array.Exists(cell, word => TimeUnits.TryFind(word, out _)));
        int parents = Array.FindIndex(words, cell => Has(cell, s_parents));
        bool isHeading = (id >= 0 ? 1 : 0) + (seconds >= 0 ? 1 : 0) + (parents >= 0 ? 1 : 0) >= 2
            && (cells.Length < 2 || !DurationText.TryRead(cells[1], out _));
        if (!isHeading)
            return new GraphColumns { Count = 3, Id = 0, Seconds = 1, Parents = 2 };
        if (seconds >= 0 && words[seconds].LastOrDefault(word => TimeUnits.TryFind(word, out _)) is { } named)
            TimeUnits.TryFind(named, out unit);
        for (int i = 0; i < cells.Length; i++)
        {
            if (i != id && i != seconds && i != parents && cells[i].Length > 0)
                findings.Add(GraphFinding.UnusedColumn, places[i], cells[i]);
        }

        if (id < 0)
            findings.Add(GraphFinding.NoColumn, places[0], default, "id");
        if (seconds < 0)
            findings.Add(GraphFinding.NoColumn, places[0], default, "seconds");
        if (parents < 0)
            findings.Add(GraphFinding.NoParentsColumn, places[^1]);
        return new GraphColumns { Count = cells.Length, Id = id, Seconds = seconds, Parents = parents, UnitSeconds = unit, IsHeading = true };
    }

    // The words alone, and all of them put together: "Task ID", "task_id", "depends on".
    private static bool Has(string[] cell, string[] names) =>
        names.Contains(string.Concat(cell)) || cell.Length > 0 && names.Contains(cell[0]) && !TimeUnits.TryFind(cell[^1], out _);

    private static string[] Words(string cell) =>
        cell.ToLower(CultureInfo.InvariantCulture).Split([' ', '_', '-', '(', ')', '[', ']', '/', ',', '.'], StringSplitOptions.RemoveEmptyEntries);
}
