using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Capacityplan.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class JobFiles : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "GraphFile",
                table: "Plans",
                type: "TEXT",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "JobFiles",
                columns: table => new
                {
                    Key = table.Column<string>(type: "TEXT", nullable: false),
                    Content = table.Column<byte[]>(type: "BLOB", nullable: false),
                    Length = table.Column<long>(type: "INTEGER", nullable: false),
                    UnusedSince = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_JobFiles", x => x.Key);
                });

            migrationBuilder.CreateIndex(
                name: "IX_Plans_GraphFile",
                table: "Plans",
                column: "GraphFile");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "JobFiles");

            migrationBuilder.DropIndex(
                name: "IX_Plans_GraphFile",
                table: "Plans");

            migrationBuilder.DropColumn(
                name: "GraphFile",
                table: "Plans");
        }
    }
}
