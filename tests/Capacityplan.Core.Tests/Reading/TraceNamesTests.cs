using Capacityplan.Core.Reading;
using CsCheck;

namespace Capacityplan.Core.Tests.Reading;

/// <summary>Lists of names in traces: those that stand whole in a block are read a quicker way than those that are cut.</summary>
public sealed class TraceNamesTests
{
    private static readonly string[] s_pieces =
    [
        "\"a\"", "\"b\"", "\"12\"", "\"007\"", "\"12345678\"", "\"a long name of a task, longer than most\"", "\"\"", "\"é\"", "\"\uD83D\uDE00\"", "\"c\\u0061\"",
        "\"\\\"\"", "\"x", "3", "3.5", "null", "{}", "[]", ",", ",", ",", ",", ",", " ", "\n", "\r\n", "\t", "]", "\"ab\tc\"", "\\", "-",
    ];

    [Theory]
    [InlineData("[\"12\",\"é x\",\"a\"]", 3)]
    [InlineData("[ \"12\" ,\r\n\t\"a\"\n]", 2)]
    [InlineData("[\"\\u0061\",\"12\"]", 2)]
    [InlineData("[12,\"a\"]", 2)]
    [InlineData("[\"a\",\"a\"]", 1)]
    [InlineData("[]", 0)]
    [InlineData("[ ]", 0)]
    public void Read_OfAListOfParents_GivesItsEdges(string list, int edges)
    {
        TaskGraphReading reading = TaskGraphReader.Read(Around(list));
        Assert.DoesNotContain(reading.Problems, problem => problem.Severity == ProblemSeverity.Error);
        Assert.Equal(edges, reading.Graph!.Edges);
    }

    // Worked by hand: the list begins on line 5, in column 21.
    [Theory]
    [InlineData("[\"12\",\"nobody\"]", 5, 27, "named as a parent or child, but no task has this id")]
    [InlineData("[\"12\",\"\"]", 5, 27, "has no id")]
    [InlineData("[\"12\",]", 5, 27, "not JSON from here on")]
    [InlineData("[\"12\" \"a\"]", 5, 27, "not JSON from here on")]
    [InlineData("[\n\"é\",\"no\nbody\"]", 6, 5, "not JSON from here on")]
    [InlineData("[\"12\",\n \"a\",true]", 6, 6, "has no id")]
    public void Read_OfAListWithSomethingWrong_SaysWhere(string list, int line, int column, string told)
    {
        Problem problem = TaskGraphReader.Read(Around(list)).Problems[0];
        Assert.Contains(told, problem.Message, StringComparison.Ordinal);
        Assert.Equal((line, column), (problem.Line, problem.Column));
    }

    [Fact]
    public void Read_OfAnyList_GivesWhatItGivesCharacterByCharacter() =>
        Gen.Int[0, s_pieces.Length - 1].Array[0, 8].Select(pieces => "[" + string.Join("", pieces.Select(piece => s_pieces[piece])) + "]").ForAll(
            list =>
            {
                string text = Around(list);
                TaskGraphReading whole = TaskGraphReader.Read(text);
                var scan = new TaskGraphScan();
                foreach (char symbol in text)
                    scan.Feed([symbol]);
                TaskGraphReading cut = scan.Complete();
                Assert.Equal(whole.Problems, cut.Problems);
                Assert.Equal((whole.Graph?.Edges, whole.Graph?.SpanSeconds), (cut.Graph?.Edges, cut.Graph?.SpanSeconds));
            },
            5_000);

    private static readonly string[] s_members =
    [
        "\"id\":\"a\"", "\"id\":\"b\"", "\"id\": \"12\"", "\"id\":12", "\"id\":\"\"", "\"i\\u0064\":\"a\"", "\"parents\":[\"a\", \"12\"]", "\"parents\":[]", "\"parents\":null",
        "\"children\":[\"b\"]", "\"children\" : [ \"12\" , \"c\" ]", "\"name\":\"é\\n\"", "\"name\":\"x\"", "\"n\":-0.5", "\"n\":1e3", "\"n\":007", "\"n\":[1,{\"id\":\"q\"},[true,false,null]]",
        "\"runtimeInSeconds\":1.25", "\"runtimeInSeconds\":3", "\"runtimeInSeconds\":0.1234567890123", "\"runtimeInSeconds\":12345678901234567", "\"runtimeInSeconds\":-1", "\"runtimeInSeconds\":2.",
        "\"runtimeInSeconds\":\"1:00\"", "\"coreCount\":4", "\"coreCount\":1.5", "\"command\":{\"program\":\"p\",\"arguments\":[\"-x\",\"\\\"\"]}", "\"m\":{}", "\"m\":[ ]", "\"m\":{\"a\":1,}", "\"m\":tru", "\"m\"", "5",
    ];

    [Fact]
    public void Read_OfAnyTasks_GivesWhatItGivesCharacterByCharacter() =>
        Gen.Select(Gen.Int[0, s_members.Length - 1].Array[0, 4].Array[1, 5], Gen.Int[0, s_members.Length - 1].Array[0, 3].Array[0, 4], Gen.Int[0, 30]).ForAll(
            one =>
            {
                (int[][] tasks, int[][] runs, int odd) = one;
                string parted = odd switch { 0 => ",,", 1 => "", 2 => "\n,\n", 3 => " , ", _ => "," };
                string text = $"{{\"schemaVersion\":\"1.5\",\"workflow\":{{\"specification\":{{\"tasks\":[{Objects(tasks, parted)}]}},\n\"execution\":{{\"tasks\":[{Objects(runs, parted)}]}}}}}}";
                TaskGraphReading whole = TaskGraphReader.Read(text);
                var scan = new TaskGraphScan();
                foreach (char symbol in text)
                    scan.Feed([symbol]);
                TaskGraphReading cut = scan.Complete();
                Assert.Equal(whole.Problems, cut.Problems);
                Assert.Equal(
                    (whole.Graph?.Count, whole.Graph?.Edges, whole.Graph?.WorkSeconds, whole.Graph?.SpanSeconds),
                    (cut.Graph?.Count, cut.Graph?.Edges, cut.Graph?.WorkSeconds, cut.Graph?.SpanSeconds));
            },
            20_000);

    private static string Objects(int[][] objects, string parted) =>
        string.Join(parted, objects.Select(members => "{" + string.Join(",", members.Select(member => s_members[member])) + "}"));

    private static string Around(string list) => """
        {"schemaVersion":"1.5","workflow":{"specification":{"tasks":[
        {"id":"a"},
        {"id":"12"},
        {"id":"é x"},
        {"id":"z","parents":LIST}]},
        "execution":{"tasks":[{"id":"a","runtimeInSeconds":1},{"id":"12","runtimeInSeconds":2},{"id":"é x","runtimeInSeconds":4},{"id":"z","runtimeInSeconds":8}]}}}
        """.ReplaceLineEndings("\n").Replace("LIST", list, StringComparison.Ordinal);
}
