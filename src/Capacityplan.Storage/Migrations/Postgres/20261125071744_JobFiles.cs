using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Capacityplan.Storage.Migrations.Postgres
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
                type: "text",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "JobFiles",
                columns: table => new
                {
                    Key = table.Column<string>(type: "text", nullable: false),
                    Content = table.Column<byte[]>(type: "bytea", nullable: false),
                    Length = table.Column<long>(type: "bigint", nullable: false),
                    UnusedSince = table.Column<long>(type: "bigint", nullable: true)
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
