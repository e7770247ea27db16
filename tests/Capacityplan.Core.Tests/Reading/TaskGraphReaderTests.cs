using System.Globalization;
using System.Text;
using Capacityplan.Core.Reading;
using CsCheck;

namespace Capacityplan.Core.Tests.Reading;

public sealed class TaskGraphReaderTests
{
    private const string Plain = "3\n0 0 0\n1 2 1 0\n2 3.5 1 1\n3 1 2 0 1\n4 0 2 2 3\n# CP Length : 5.5\n";
    private const string Table = "id,seconds,parents\n\"a, b\",2,\nc,3.5,\"a, b;\"\nd,1,\"a, b;c\"\n";
    private const string Trace = """
        {"name":"sample","schemaVersion":"1.5","workflow":{"specification":{"tasks":[
        {"name":"x","children":["b"],"inputFiles":["a"],"id":"a","parents":[]},
        {"id":"b","parents":["a"],"children":[]}],"files":[{"id":"a","sizeInBytes":3}]},
        "execution":{"makespanInSeconds":7,"tasks":[{"runtimeInSeconds":1.5,"id":"a","command":{"id":"b","arguments":["x"]}},{"id":"b","runtimeInSeconds":2}],
        "machines":[{"nodeName":"n"}]}}}
        """;

    private static readonly string[] s_pieces =
    [
        "id", "seconds", "parents", "1", "2", "3", "0", "-1", "1e999", "NaN", ",", ";", "\t", " ", "\n", "\r\n", "\r", "\"", "#", "{", "}", "[", "]", ":",
        "\"id\"", "\"tasks\"", "\"workflow\"", "\"specification\"", "\"execution\"", "\"parents\"", "\"runtimeInSeconds\"", "\\ud800", "é", "\uD83D\uDE00", "\uFEFF", "\0",
    ];

    [Fact]
    public void Read_PlainText_GivesItsTasksWithoutEntryAndExit()
    {
        TaskGraphReading reading = TaskGraphReader.Read(Plain);
        Assert.Empty(reading.Problems);
        Assert.Equal((TaskGraphFormat.PlainText, 3, 2), (reading.Format, reading.Graph!.Count, reading.Graph.Edges));
        Assert.Equal([2, 3.5, 1], reading.Graph.Seconds.ToArray());
        Assert.Equal((6.5, 5.5), (reading.Graph.WorkSeconds, reading.Graph.SpanSeconds));
        Assert.Equal("2", reading.Graph.Id(1));
    }

    [Fact]
    public void Read_Table_GivesItsTasks()
    {
        TaskGraphReading reading = TaskGraphReader.Read(Table);
        Assert.Empty(reading.Problems);
        Assert.Equal((TaskGraphFormat.Table, 3, 3), (reading.Format, reading.Graph!.Count, reading.Graph.Edges));
        Assert.Equal("a, b", reading.Graph.Id(0));
        Assert.Equal(6.5, reading.Graph.SpanSeconds);
    }

    [Theory]
    [InlineData("b,2,a\na,1,\n", "3")]
    [InlineData("task\tparents\tms\nb\ta\t2\na\t\t1\n", "0.003")]
    [InlineData("id;duration (min);needs\na;1;\nb;2;a\n", "180")]
    [InlineData("id,seconds,parents,host\r\na,1,,x\r\nb,2, a,y", "3")]
    [InlineData("id,seconds,parents\n\n\"a \"\"x\"\"\nz\",1,\nb,1:00,\"a \"\"x\"\"\nz;\"\n", "61")]
    [InlineData("# how long\na,1\nb,2", "2")]
    [InlineData("\uFEFFa,1,\r\rb,500ms,a", "1.5")]
    public void Read_TablesAsPeopleHaveThem_GivesTheirSpan(string text, string span)
    {
        TaskGraphReading reading = TaskGraphReader.Read(text);
        Assert.DoesNotContain(reading.Problems, problem => problem.Severity != ProblemSeverity.Note);
        Assert.Equal(2, reading.Graph!.Count);
        Assert.Equal(double.Parse(span, CultureInfo.InvariantCulture), reading.Graph.SpanSeconds, 1e-12);
    }

    [Fact]
    public void Read_Trace_JoinsWhatIsMeasuredToWhatIsSpecified()
    {
        TaskGraphReading reading = TaskGraphReader.Read(Trace);
        Assert.Empty(reading.Problems);
        Assert.Equal(("sample", 7.0), (reading.Name, reading.RecordedMakespanSeconds));
        Assert.Equal((2, 1, 3.5), (reading.Graph!.Count, reading.Graph.Edges, reading.Graph.SpanSeconds));
    }

    // What is wrong, where, and what the message says.
    [Theory]
    [InlineData("", null, null, "No tasks")]
    [InlineData("a,1,b\n", 1, 5, "“b” is named")]
    [InlineData("a,1,\na,2,\n", 2, 1, "on line 1")]
    [InlineData("a,-1,\n", 1, 3, "below 0")]
    [InlineData("a,NaN,\n", 1, 3, "not a duration")]
    [InlineData("a,1e400,\n", 1, 3, "too long")]
    [InlineData("a,one,\n", 1, 3, "not a duration")]
    [InlineData("a,,\n", 1, 3, "No duration")]
    [InlineData("a\n", 1, 2, "No duration")]
    [InlineData(",1,\n", 1, 1, "no id")]
    [InlineData("a,0,\nb,0,\n", null, null, "0 seconds")]
    [InlineData("id,parents\na,1\n", 1, 1, "headed seconds")]
    [InlineData("a,1,,b\n", 1, 6, "more fields")]
    [InlineData("a,1,c\nb,1,a\nc,1,b\n", 1, 1, "circle: a → b → c → a")]
    [InlineData("a,1,a\n", 1, 1, "circle: a → a")]
    [InlineData("a,1,\n\"b,2,\nc,3,\n", 2, 1, "never closed")]
    [InlineData("\"a\"x,1,\n", 1, 4, "closing quotation mark")]
    [InlineData("3\n0 0 0\n1 2 1 0\n", 3, 1, "2 of 5 rows")]
    [InlineData("1\n0 0 0\n1 2 1 0\n2 0 1 1\n3 0 0\n", 5, 1, "More rows than the 3")]
    [InlineData("1\n0 0 0\n1 2 2 0\n2 0 1 1\n", 3, 8, "announces 2 parents and lists 1")]
    [InlineData("1\n0 0 0\n1 2\n2 0 1 1\n", 3, 4, "number of its parents is missing")]
    [InlineData("1\n0 0 0\n1 2 1 0 0\n2 0 1 1\n", 3, 9, "goes on")]
    [InlineData("1\n0 0 0\n1 2 1 7\n2 0 1 1\n", 3, 7, "run from 0 to 2")]
    [InlineData("1\n0 0 0\n1 2 1 2\n2 0 1 1\n", 3, 7, "exit")]
    [InlineData("1\n0 4 0\n1 2 1 0\n2 0 1 1\n", 2, 3, "entry")]
    [InlineData("1\n0 0 0\n0 2 1 0\n2 0 1 1\n", 3, 1, "on line 2")]
    [InlineData("1\n0 0 0\n1 x 1 0\n2 0 1 1\n", 3, 3, "not a duration")]
    [InlineData("0\n", 1, 1, "not a number of tasks")]
    [InlineData("999999999\n", 1, 1, "More than 5,000,000")]
    [InlineData("2\n0 0 0\n1 2 1 2\n2 2 1 1\n3 0 1 2\n", 3, 1, "circle: 1 → 2 → 1")]
    [InlineData("{\"workflow\":{}}", null, null, "workflow.specification.tasks")]
    [InlineData("[1,2]", null, null, "workflow.specification.tasks")]
    [InlineData("{\n \"workflow\": oops}", 2, 14, "not JSON")]
    [InlineData("{\n \"workflow\": {", 2, 15, "breaks off")]
    public void Read_SomethingWrong_IsShownWhereItIs(string text, int? line, int? column, string told)
    {
        TaskGraphReading reading = TaskGraphReader.Read(text);
        Assert.Null(reading.Graph);
        Problem problem = Assert.Single(reading.Problems, one => one.Severity == ProblemSeverity.Error && one.Message.Contains(told, StringComparison.Ordinal));
        Assert.Equal((line, column), (problem.Line, problem.Column));
    }

    [Theory]
    [InlineData("\"parents\":[\"a\"]", "\"parents\":[\"z\"]", "“z” is named", false)]
    [InlineData("\"children\":[\"b\"]", "\"children\":[\"z\"]", "“z” is named", false)]
    [InlineData("\"runtimeInSeconds\":2", "\"runtimeInSeconds\":-2", "below 0", false)]
    [InlineData("\"runtimeInSeconds\":2", "\"runtime\":2", "No duration", false)]
    [InlineData("\"id\":\"b\",\"runtimeInSeconds\"", "\"id\":\"a\",\"runtimeInSeconds\"", "second run time", false)]
    [InlineData("\"id\":\"b\",\"parents\"", "\"id\":\"a\",\"parents\"", "is taken already", false)]
    [InlineData("\"id\":\"b\",\"parents\"", "\"parents\"", "no id", false)]
    [InlineData("\"id\":\"b\",\"parents\"", "\"id\":\"\\ud800\",\"parents\"", "not JSON", false)]
    [InlineData("\"parents\":[\"a\"]", "\"parents\":[]", "does not list as a parent", true)]
    [InlineData("\"1.5\"", "\"1.4\"", "schema “1.4”", true)]
    [InlineData("\"runtimeInSeconds\":2", "\"runtimeInSeconds\":2,\"coreCount\":4", "used 4 cores", true)]
    [InlineData("\"machines\"", "\"tasks\":[{\"id\":\"z\",\"runtimeInSeconds\":1}],\"machines\"", "no task of the specification", true)]
    public void Read_TraceWithSomethingWrong_SaysSo(string was, string becomes, string told, bool isRead)
    {
        Assert.Contains(was, Trace, StringComparison.Ordinal);
        TaskGraphReading reading = TaskGraphReader.Read(Trace.Replace(was, becomes, StringComparison.Ordinal));
        Problem problem = Assert.Single(reading.Problems, one => one.Message.Contains(told, StringComparison.Ordinal));
        Assert.True(problem.Line is >= 1 and <= 6 && problem.Column >= 1);
        Assert.Equal(isRead, reading.Graph is not null);
        if (isRead)
            Assert.Equal((2, 1), (reading.Graph!.Count, reading.Graph.Edges));
    }

    [Fact]
    public void Read_TraceCutAnywhere_SaysSoOnce()
    {
        string trace = Trace.ReplaceLineEndings("\n");
        for (int length = 1; length < trace.Length; length++)
        {
            TaskGraphReading reading = TaskGraphReader.Read(trace[..length]);
            Assert.Null(reading.Graph);
            Problem problem = Assert.Single(reading.Problems);
            Assert.Contains("breaks off", problem.Message, StringComparison.Ordinal);
            Assert.InRange(problem.Line!.Value, 1, 1 + trace[..length].Count(symbol => symbol == '\n'));
        }
    }

    [Fact]
    public void Read_ManyProblems_AreCappedAndCounted()
    {
        TaskGraphReading reading = TaskGraphReader.Read(string.Join('\n', Enumerable.Range(0, 1000).Select(i => $"t{i},-1,")));
        Assert.Equal(101, reading.Problems.Length);
        Problem last = reading.Problems.Single(problem => problem.Message.StartsWith("900 more", StringComparison.Ordinal));
        Assert.Equal(101, last.Line);
    }

    [Fact]
    public void Read_StreamCutAnywhere_GivesTheSame()
    {
        foreach (string text in new[] { Plain, Table, Trace, Table.ReplaceLineEndings("\r\n"), "  \n" + Trace, "\uFEFF" + Plain, "a,1,b\n\"x", "é,1,\n😀,2,é" })
        {
            TaskGraphReading whole = TaskGraphReader.Read(text);
            var scan = new TaskGraphScan();
            foreach (char symbol in text)
                scan.Feed([symbol]);
            TaskGraphReading cut = scan.Complete();
            Assert.Equal(whole.Problems, cut.Problems);
            Assert.Equal((whole.Format, whole.Graph?.Edges, whole.Graph?.SpanSeconds), (cut.Format, cut.Graph?.Edges, cut.Graph?.SpanSeconds));
        }
    }

    [Fact]
    public void Read_Garbage_NeverThrows() =>
        Gen.Select(Gen.Int[0, s_pieces.Length - 1].Array[0, 40], Gen.Int[0, 5], Gen.Int[0, 400], Gen.Int[0, 3]).Select(drawn =>
        {
            (int[] pieces, int kind, int at, int cut) = drawn;
            string wild = string.Concat(pieces.Take(kind < 3 ? 1 : 40).Select(piece => s_pieces[piece]));
            string text = kind switch { 0 => Plain, 1 => Table, 2 => Trace, _ => "" };
            return text[..Math.Min(at, text.Length)] + wild + text[Math.Min(at + cut, text.Length)..];
        }).ForAll(
            text =>
            {
                TaskGraphReading reading = TaskGraphReader.Read(text);
                Assert.Equal(reading.Graph is null, reading.Problems.Any(problem => problem.Severity == ProblemSeverity.Error));
                string[] lines = text.Split(["\r\n", "\n", "\r"], StringSplitOptions.None);
                Assert.All(reading.Problems, problem =>
                {
                    Assert.True(problem.Line is null || problem.Line >= 1 && problem.Line <= lines.Length, $"{problem} in {text}");
                    Assert.True(problem.Column is null or >= 1);
                });
            },
            5_000);

    [Fact]
    public async Task ReadAsync_ChainOfAMillion_IsReadWithoutAStackOfItsOwn()
    {
        const int Tasks = 1_000_000;
        var text = new StringBuilder();
        for (int i = Tasks - 1; i >= 0; i--)
            text.Append(CultureInfo.InvariantCulture, $"{i},1,{(i > 0 ? i - 1 : "")}\n");
        var progress = new List<TaskGraphProgress>();
        TaskGraphReading reading = await TaskGraphReader.ReadAsync(new StringReader(text.ToString()), new Listed(progress));
        Assert.Equal((Tasks, (double)Tasks, 1), (reading.Graph!.Count, reading.Graph.SpanSeconds, reading.Graph.MaxLevelWidth));
        Assert.Equal(Tasks, reading.Graph.CriticalPath().Length);
        Assert.True(progress.Count > 2 && progress[1].Tasks > progress[0].Tasks);
        Assert.Equal(text.Length, progress[^1].Characters);

        // The same chain closed to a ring.
        text.Append("first,1,last\nlast,1,first\n");
        Problem problem = Assert.Single((await TaskGraphReader.ReadAsync(new StringReader(text.ToString()))).Problems);
        Assert.Contains("first", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_OneLongLine_TakesNoLongerThanItsLength()
    {
        string ids = string.Join(';', Enumerable.Range(0, 300_000));
        TaskGraphReading reading = TaskGraphReader.Read("x,1," + ids);
        Assert.Equal(101, reading.Problems.Length);
        Assert.Contains("299,900 more", reading.Problems[^1].Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ReadAsync_Cancelled_Ends() =>
        await Assert.ThrowsAnyAsync<OperationCanceledException>(
            () => TaskGraphReader.ReadAsync(new StringReader(Plain), cancellation: new CancellationToken(true)));

    private sealed class Listed(List<TaskGraphProgress> reports) : IProgress<TaskGraphProgress>
    {
        public void Report(TaskGraphProgress value) => reports.Add(value);
    }
}
